import { expect, it } from 'vitest'
import { measuredOf, NOTHING, typedOf, type Measured } from './measured'

it('what was typed is what was measured, and what was left open is said to be so', () => {
  const typed = { ...NOTHING, diameter: '50', height: '1000', filling: 'pieces', size: '4,5', column: 'bare', boiler: 'wrapped', metal: 'copper' } as const
  const measured: Measured = { diameter_mm: 50, height_mm: 1000, filling: { pieces: 4.5 }, column_lagged: false, boiler_lagged: true, metal: 'copper' }
  expect(measuredOf(typed, true)).toEqual(measured)
  expect(measuredOf(typedOf(measured), true)).toEqual(measured)
  expect(measuredOf(NOTHING, true)).toEqual({ diameter_mm: null, height_mm: null, filling: null, column_lagged: null, boiler_lagged: null, metal: null })
  expect(measuredOf(typed, false)).toEqual({ ...measured, diameter_mm: null, height_mm: null, filling: null })
  expect(typedOf({ ...measured, diameter_mm: null, filling: 'knitted' })).toMatchObject({ filling: 'knitted', size: '', diameter: '' })
})

it('what cannot be read is said in words', () => {
  expect(measuredOf({ ...NOTHING, diameter: 'two inches' }, true)).toContain('millimetres')
  expect(measuredOf({ ...NOTHING, filling: 'pieces' }, true)).toContain('across one piece')
  expect(measuredOf({ ...NOTHING, filling: 'plates', size: '4.5' }, true)).toContain('how many plates')
})
