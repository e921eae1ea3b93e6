import { describe, expect, it } from 'vitest'
import { advice, plan, said } from '../testing'
import { beginWords, dueKey, duePrompt, dueSentence, stepValues, timeSentence } from './sentence'

const at = { startedMs: Date.UTC(2026, 9, 3, 6, 12), zoneOffsetMinutes: 120 }

describe('the sentence', () => {
  it('tells a time with its range on the run\'s clock', () => {
    const sentence = timeSentence(advice({ expectation: { what: 'hearts_end', earliest_s: 5400, likely_s: 6000, latest_s: 6600, basis: '' } }), at)
    expect(sentence).toEqual({ words: 'The plateau should end at', likely: '09:52', earliest: '09:42', latest: '10:02', narrow: false })
  })
  it('leaves out what it has no words for', () => {
    expect(timeSentence(advice({ expectation: { what: 'unheard_of', earliest_s: 0, likely_s: 0, latest_s: 0, basis: '' } }), at)).toBeNull()
    expect(timeSentence(advice(), at)).toBeNull()
  })
  it('before heat counts from heater on, not on a clock', () => {
    const before = advice({ state: 'before_heat', time_s: 0, expectation: { what: 'first_vapour', earliest_s: 1800, likely_s: 1980, latest_s: 2200, basis: '' } })
    expect(timeSentence(before, at)?.likely).toBe('33\u00a0min')
  })
  it('says what is next and when, or now', () => {
    expect(dueSentence(advice({ next: { code: 'jar_change', text: 'get jar 9 ready', due_s: 4240 } }), at)).toBe('Next: get jar 9 ready, in 4\u00a0min.')
    expect(dueSentence(advice({ next: { code: 'x', text: 'begin the tails.', due_s: 9000 } }), at)).toBe('Next: begin the tails, at 10:42.')
    expect(dueSentence(advice({ next: { code: 'x', text: 'begin', due_s: 3000 } }), at)).toBe('Now: begin.')
    expect(dueSentence(advice(), at)).toBe('')
  })
  it('puts a standing prompt first, the most urgent of them', () => {
    const both = advice({ prompts: [said({ code: 'jar_change', priority: 'medium', text: 'Jar 2 is nearly full', do: '' }), said()] })
    expect(duePrompt(both)?.code).toBe('heads_done')
    expect(dueSentence(both, at)).toBe('The heads are drawn. Begin the hearts.')
  })
})

describe('the key beside the prompt', () => {
  it('begins the next step of the plan', () => {
    expect(dueKey(advice({ step_index: 2, prompts: [said({ code: 'foreshots_done' })] }), plan)).toEqual({ kind: 'step', index: 3, words: 'Begin hearts' })
    expect(dueKey(advice({ prompts: [said({ code: 'slow_phase' })] }), plan)?.words).toBe('Begin slow hearts')
  })
  it('is not there while the end of hearts is only near', () => {
    expect(dueKey(advice({ prompts: [said({ code: 'hearts_end_near', priority: 'medium' })] }), plan)).toBeNull()
    expect(dueKey(advice({ step_index: 4, prompts: [said({ code: 'hearts_end_near', priority: 'high' })] }), plan)?.words).toBe('Begin tails')
  })
  it('stops, whatever step runs', () => {
    expect(dueKey(advice({ prompts: [said({ code: 'stop' })] }), plan)).toEqual({ kind: 'step', index: 6, words: 'Heat is off' })
  })
  it('answers coolant and jar', () => {
    expect(dueKey(advice({ prompts: [said({ code: 'coolant_on' })] }), plan)?.kind).toBe('coolant_on')
    expect(dueKey(advice({ prompts: [said({ code: 'jar_change' })] }), plan)?.kind).toBe('jar')
    expect(dueKey(advice(), plan)).toBeNull()
  })
  it('knows what a step changes by hand', () => {
    expect(stepValues({ do: 'stop' })).toEqual({ watts: 0, takeOff: { value: 0, unit: 'ml_per_min' } })
    expect(stepValues({ do: 'hearts', reflux_ratio: 9 })).toEqual({ watts: null, takeOff: { value: 9, unit: 'reflux_ratio' } })
    expect(stepValues({ do: 'equalise', watts: 1800 }).watts).toBe(1800)
    expect(beginWords(plan, 1)).toBe('Begin equalising')
  })
})
