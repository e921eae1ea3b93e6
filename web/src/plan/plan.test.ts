import { describe, expect, it } from 'vitest'
import { forecast, plan } from '../testing'
import { METRIC } from '../units'
import { draftPlan, newStep } from './draft'
import { combine, FOUR_IN_FIVE, leaningPlans, rangesOf } from './range'
import { heartsOf, stepWords, triggerWords } from './words'

describe('words of the plan', () => {
  it('tells steps as triggers', () => {
    expect(stepWords({ do: 'hearts', takeoff_ml_per_min: 22, until_rise_k: 0.4 }, METRIC)).toBe('22\u00a0mL/min, until the head is +0.4\u00a0K over the plateau')
    expect(triggerWords({ do: 'equalise', minutes: 20 }, METRIC)).toBe('for 20 min')
    expect(triggerWords({ do: 'heads', until_ml: 150, minutes: 40 }, METRIC)).toBe('until 150\u00a0mL drawn, at most 40 min')
  })
  it('adds the hearts of both phases', () => {
    expect(heartsOf(forecast())).toEqual({ litres: 0.8, strengthVol: 94, startS: 3600 })
  })
})

describe('a first plan of one\'s own', () => {
  it.each(['column', 'pot'] as const)('%s: begins with heat, ends with stop, charges within the boiler', (kind) => {
    const drawn = draftPlan({ ...plan.still, kind }, 1234)
    expect(drawn.step[0]?.do).toBe('heat')
    expect(drawn.step.at(-1)?.do).toBe('stop')
    expect(drawn.step.map((step) => step.watts).filter(Boolean), 'all elements to heat, then what the still is run at').toEqual([plan.still.elements_watts.reduce((a, b) => a + b), 1230])
    expect(drawn.charge.litres).toBeLessThanOrEqual(0.8 * plan.still.boiler_litres)
    for (const step of drawn.step.slice(1, -1)) expect(triggerWords(step, METRIC)).not.toBe('')
    if (kind === 'pot') expect(drawn.step.some((step) => step.do === 'equalise')).toBe(false)
  })
  it('gives a new step what it needs', () => {
    expect(newStep('tails', 'column')).toMatchObject({ reflux_ratio: 5, until_strength_vol: 40 })
    expect(newStep('tails', 'pot').reflux_ratio).toBeUndefined()
  })
})

describe('ranges from the doubt in the charge', () => {
  it('leans by what the plan says it does not know', () => {
    const [less, more, weaker] = leaningPlans(plan)
    expect(less?.charge.litres).toBeCloseTo(20 - FOUR_IN_FIVE * 0.3, 9)
    expect(more?.charge.litres).toBeCloseTo(20 + FOUR_IN_FIVE * 0.3, 9)
    expect(weaker?.charge.strength_vol).toBeCloseTo(8.5 - FOUR_IN_FIVE * 0.3, 9)
  })
  it('adds independent doubts as squares, to each side', () => {
    expect(combine(10, [7, 13, 6, 14])).toEqual({ low: 5, high: 15 })
    expect(combine(10, [10, 10], 2)).toEqual({ low: 8, high: 12 })
  })
  it('gives every number of the sentence a range', () => {
    const ranges = rangesOf(forecast(), [forecast(), forecast(), forecast(), forecast()])
    expect(ranges.heartsVol?.low).toBeLessThan(94)
    expect(ranges.stepEnds.length).toBe(6)
  })
})
