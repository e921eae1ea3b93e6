import { describe, expect, it } from 'vitest'
import { fieldUnit, finenessOf, held, shown, typedUnit } from './typed'
import { METRIC } from './units'

describe('what is typed in other units', () => {
  // 1 atm is 29.9213 inHg and 760 mmHg (NIST SP 811, B.8); the gallons and the pound by definition.
  it.each([
    ['hPa', { pressure: 'inHg' }, 29.9213, 1013.25, 'inHg'], ['hPa', { pressure: 'mmHg' }, 760, 1013.25, 'mmHg'],
    ['L', { volume: 'US gal' }, 5, 18.9271, 'US gal'], ['L', { volume: 'imp gal' }, 5, 22.7305, 'imp gal'],
    ['mL', { volume: 'US gal' }, 16, 473.176, 'US fl oz'], ['kg', { mass: 'lb' }, 2, 0.9072, 'lb'],
  ] as const)('val_ %s with %o: %f is %f', (unit, choice, typed, value, name) => {
    const units = { ...METRIC, ...choice }
    expect(held(typed, 'plain', units, unit)).toBeCloseTo(value, 2)
    expect(shown(value, 'plain', units, unit)).toBeCloseTo(typed, 2)
    expect([fieldUnit('plain', units, unit), typedUnit('plain', units, unit)]).toEqual([name, name])
    expect(typedUnit('plain', METRIC, unit)).toBeUndefined()
  })
  it('leaves alone what has no other unit', () => {
    const units = { ...METRIC, volume: 'US gal', pressure: 'inHg', mass: 'lb' } as const
    expect([held(7, 'plain', units, 'W'), fieldUnit('plain', units, 'W'), finenessOf(1, 'plain', units, 'W')]).toEqual([7, 'W', 1])
    expect([finenessOf(0, 'plain', units, 'hPa'), typedUnit('strength', { ...METRIC, strength: 'proof' })]).toEqual([2, 'US proof'])
  })
})
