import { describe, expect, it } from 'vitest'
import type { Outlook } from './estimate'
import { knowledgeOf } from './of-advice'
import { advice, around, outlook, plan, said } from './testing'

const bounds = (from = 5500) => [3, 4, 5].map((step_index, i) => ({ step_index, step: i < 2 ? 'hearts' as const : 'tails' as const, earliest_s: from - 500 + 1000 * i, likely_s: from + 1000 * i, latest_s: from + 500 + 1000 * i }))
const make = (of = {}, part?: Partial<Outlook>) => knowledgeOf(advice({ boundaries: bounds(), ...of, outlook: part ? outlook(part) : null }), plan, 0)

describe('the ends to come', () => {
  it('are the estimate\'s where it has one, each step its own, in words', () => {
    const { ends } = make({}, { stop_s: around(9900, 100) })
    expect(ends.map((end) => end.at.p50)).toEqual([6000, 7200, 9900])
    expect(ends.map((end) => end.words)).toEqual(['Fast hearts should end', 'Slow hearts should end', 'Tails should end'])
    expect(ends.map((end) => end.what)).toEqual(['step_end', 'step_end', 'stop'])
  })
  it('prop_ never run backwards and never lie in the past, whatever the estimate says', () => {
    for (let last = 3000; last < 12_000; last += 450) for (let fast = 3000; fast < 12_000; fast += 450) for (const stop of [3000, 7000, 12_000]) {
      const { ends, time_s } = make({}, { step_end_s: around(fast, 300), plan_end: { time_s: around(last, 300), litres: around(1, 0.1), strength_vol: around(94, 1) }, stop_s: around(stop, 200) })
      ends.forEach(({ at }, i) => {
        expect(at.p50).toBeGreaterThanOrEqual(ends[i - 1]?.at.p50 ?? time_s)
        expect([...Object.values(at)]).toEqual([at.p025, at.p10, at.p50, at.p90, at.p975].sort((a, b) => a - b))
        expect(at.p025).toBeGreaterThanOrEqual(time_s)
      })
    }
  })
  it('an estimate from before the running step says nothing of that step\'s end', () => {
    const { ends } = make({ time_s: 3650 }, { made_at_s: 3580, step_end_s: around(3590, 8) })
    expect(ends[0]?.at.p50).toBeGreaterThan(5000)
  })
  it('are told as unsure where the end is not trusted', () => {
    const { ends, hearts_to_come_l } = make({}, { untrusted: [{ answer: 'end', why: 'It drifts.' }] })
    expect(ends[0]?.unsure).toBe('It drifts.')
    expect(hearts_to_come_l).toBeNull()
  })
  it('are none after the end', () => {
    expect(make({ state: 'ended' }, {}).ends).toEqual([])
  })
})

describe('what is known', () => {
  it('prop_ an estimate older than three minutes of run time leaves no number behind', () => {
    for (let late = 0; late < 1000; late += 10) {
      const seen = make({ time_s: 4000 + late }, { made_at_s: 4000 })
      expect(seen.estimate_fresh).toBe(late <= 180)
      expect(seen.hearts_to_come_l === null).toBe(late > 180)
      expect(seen.jars_to_come === null).toBe(late > 180)
      expect(seen.estimate_made_at_s).toBe(4000)
    }
  })
  it('no rise before this run\'s plateau is known, nor while the head is not read', () => {
    const head = (state: 'live' | 'stale') => [{ name: 'head_c', value: 78.1, age_s: 1, state }]
    expect(make({ channels: head('live') }).rise).toEqual({ kelvin: 0.05, trigger_k: 0.4, plateau_c: 78 })
    expect(make({ channels: head('live'), plateau_provisional: true }).rise).toBeNull()
    expect(make({ channels: head('live'), plateau_c: null }).rise).toBeNull()
    expect(make({ channels: head('stale') }).rise).toBeNull()
  })
  it('regress_ while the head is lost in hearts nothing is told of what is to come, in no place', () => {
    const lost = make({ channels: [{ name: 'head_c', value: null, age_s: 91, state: 'stale' }], strength_now: { value: 94.3, low: 93, high: 95, basis: '' } }, {})
    expect([lost.hearts_to_come_l, lost.jars_to_come, lost.strength_now, lost.rise]).toEqual([null, null, null, null])
    expect(lost.ends.every((end) => end.unsure !== null)).toBe(true)
  })
  it('nothing of hearts to come once the tails run, though the estimate is from before', () => {
    const over = make({ step: 'tails', step_index: 5, state: 'tails' }, {})
    expect([over.hearts_to_come_l, over.jars_to_come]).toEqual([null, null])
    expect(over.account?.left_l.p50).toBe(1.2)
  })
  it('slow hearts are called slow hearts', () => {
    expect(make({ step_index: 4, state: 'slow_hearts' }).step.name).toBe('slow hearts')
  })
})

describe('the instruction', () => {
  it('is the most urgent prompt, with the act that answers it', () => {
    const { instruction } = make({ step_index: 2, prompts: [said({ code: 'jar_change', priority: 'medium', text: 'Jar 2 is nearly full', do: '' }), said()] })
    expect(instruction).toMatchObject({ code: 'heads_done', now: true, text: 'The heads are drawn. Begin the hearts.', act: { do: 'begin', step: 3, after: 2 } })
  })
  it('has no act while the end of hearts is only near, and stops whatever step runs', () => {
    expect(make({ prompts: [said({ code: 'hearts_end_near', priority: 'medium' })] }).instruction?.act).toBeNull()
    expect(make({ step_index: 4, prompts: [said({ code: 'hearts_end_near', priority: 'high' })] }).instruction?.act).toEqual({ do: 'begin', step: 5, after: 4 })
    expect(make({ prompts: [said({ code: 'stop' })] }).instruction?.act).toEqual({ do: 'begin', step: 6, after: 3 })
  })
  it('regress_ a time that has passed is no reason to act: nothing is said to be due now that was not seen', () => {
    const { instruction } = make({ next: { code: 'stop', text: 'turn the heater off', due_s: 3900 } })
    expect(instruction).toMatchObject({ now: false, due: null, act: null })
  })
})
