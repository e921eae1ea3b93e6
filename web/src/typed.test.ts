import { describe, expect, it } from 'vitest'
import { fieldUnit, finenessOf, gravityOf, held, platoOf, shown, typedUnit } from './typed'
import { enteredOf, note } from './ui/entered'
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

describe('a gravity in degrees Plato', () => {
  // The table of Plato as brewers print it (from memory): 10 P is 1.0400, 12 P 1.0484, 20 P 1.0830.
  it.each([[0, 1], [10, 1.04], [12, 1.0484], [20, 1.083]])('val_ %f P is %f', (plato, gravity) => {
    expect(gravityOf(plato)).toBeCloseTo(gravity, 3)
    expect(platoOf(gravity)).toBeCloseTo(plato, 1)
  })
  it('prop_ goes there and back, beyond the table too', () => {
    for (let plato = -12; plato <= 66; plato += 0.37) expect(platoOf(gravityOf(plato))).toBeCloseTo(plato, 9)
  })
  it('is a field of its own', () => {
    const units = { ...METRIC, gravity: 'Plato' } as const
    expect([fieldUnit('gravity', units), finenessOf(3, 'gravity', units), typedUnit('gravity', units), typedUnit('gravity', METRIC)]).toEqual(['°Plato', 1, 'Plato', undefined])
    expect(held(shown(1.052, 'gravity', units), 'gravity', units)).toBeCloseTo(1.052, 9)
  })
})

describe('what a form sends of what was typed', () => {
  it('is what stands there still', () => {
    note('plan:charge.litres', 37.85411784, 10, 'US gal')
    note('plan:step[1].until_ml', 591.47, 20, 'US fl oz')
    note('wash:litres', 25, 6.6, 'US gal')
    const plan = { charge: { litres: 37.85411784 }, step: [{}, { until_ml: 600 }] }
    expect(enteredOf('plan', plan)).toEqual([{ field: 'charge.litres', value: 10, unit: 'US gal' }])
    note('plan:charge.litres', 37.85411784, 37.85411784, undefined)
    expect(enteredOf('plan', plan)).toEqual([])
  })
})
