import { describe, expect, it } from 'vitest'
import { deedOf } from './keyboard'

const key = (name: string, more = {}) => ({ key: name, shiftKey: false, ctrlKey: false, metaKey: false, altKey: false, ...more })

describe('keys of the keyboard', () => {
  it('does what the list says', () => {
    expect(deedOf(key('n'), 'BODY')).toEqual({ do: 'jar' })
    expect(deedOf(key('T'), 'BODY')).toEqual({ do: 'pad', pad: 'takeoff' })
    expect(deedOf(key('ArrowLeft', { shiftKey: true }), 'BODY')).toEqual({ do: 'shift', minutes: -15 })
    expect(deedOf(key('?', { shiftKey: true }), 'BODY')).toEqual({ do: 'pad', pad: 'keys' })
  })
  it('leaves fields, buttons and the browser alone', () => {
    expect(deedOf(key('n'), 'INPUT')).toBeNull()
    expect(deedOf(key('r', { ctrlKey: true }), 'BODY')).toBeNull()
    expect(deedOf(key(' '), 'BUTTON')).toBeNull()
    expect(deedOf(key('Enter'), 'A')).toBeNull()
    expect(deedOf(key('x'), 'BODY')).toBeNull()
  })
})
