import { expect, it } from 'vitest'
import { measuredOf, NOTHING, typedOf, type Measured } from './measured'

it('what was typed is what was measured, and what was left open is said to be so', () => {
  const typed = { ...NOTHING, diameter: '50', height: '1000', filling: 'pieces', size: '4,5', column: 'bare', boiler: 'wrapped', metal: 'copper' } as const
  const measured: Measured = { diameter_mm: 50, height_mm: 1000, column_probe_mm: null, filling: { pieces: 4.5 }, column_lagged: false, boiler_lagged: true, metal: 'copper' }
  expect(measuredOf(typed, true)).toEqual(measured)
  expect(measuredOf(typedOf(measured), true)).toEqual(measured)
  expect(measuredOf(NOTHING, true)).toEqual({ diameter_mm: null, height_mm: null, column_probe_mm: null, filling: null, column_lagged: null, boiler_lagged: null, metal: null })
  expect(measuredOf(typed, false)).toEqual({ ...measured, diameter_mm: null, height_mm: null, filling: null })
  expect(typedOf({ ...measured, diameter_mm: null, filling: 'knitted' })).toMatchObject({ filling: 'knitted', size: '', diameter: '' })
})

it('a thermometer in the column is measured from the foot of the packing, and only a column has one', () => {
  const typed = { ...NOTHING, height: '1000', probe: '480' }
  const measured = measuredOf(typed, true)
  expect(measured).toMatchObject({ height_mm: 1000, column_probe_mm: 480 })
  expect(typedOf(measured as Measured).probe).toBe('480')
  expect(measuredOf(typed, false)).toMatchObject({ column_probe_mm: null })
  expect(measuredOf({ ...NOTHING, probe: 'half' }, true)).toContain('foot of the packing')
})

it('what cannot be read is said in words', () => {
  expect(measuredOf({ ...NOTHING, diameter: 'two inches' }, true)).toContain('millimetres')
  expect(measuredOf({ ...NOTHING, filling: 'pieces' }, true)).toContain('across one piece')
  expect(measuredOf({ ...NOTHING, filling: 'plates', size: '4.5' }, true)).toContain('how many plates')
})
