import { expect, it } from 'vitest'
import { heatWords } from './setup'

it('says what heats the still, and where its power is not known', () => {
  expect(heatWords('electric', ['2000 W'])).toBe('one element of 2000 W')
  expect(heatWords('electric', ['2000 W', '1500 W'])).toBe('2 elements of 2000 W and 1500 W')
  expect(heatWords('gas', [])).toContain('still to be learned')
  expect(heatWords('fire', ['4000 W'])).toBe('heated by fire, 4000 W')
})
