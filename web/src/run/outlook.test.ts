import { describe, expect, it } from 'vitest'
import type { Outlook, Quantiles } from '../estimate'
import { advice, outlook, plan } from '../testing'
import { decimalsFor, litresIn, strengthIn } from './fineness'
import { agreed, collectedFan, doubt, doubtWords, faultWords, heartsSentence, helpWords, isOld, jarCounts, liveOutlook, odds, OLD_AFTER_S, outlookOf, shareWords, stillAhead, withOutlook, worthwhile } from './outlook'
import { marks } from './strip'

const on = { startedMs: Date.UTC(2026, 9, 3, 6, 12), zoneOffsetMinutes: 120 }
const spread = (p50: number, half: number): Quantiles => ({ p025: p50 - 1.6 * half, p10: p50 - half, p50, p90: p50 + half, p975: p50 + 1.6 * half })
const carry = (part: Partial<Outlook> = {}, of = {}) => advice({ step: 'hearts', step_index: 3, ...of, outlook: outlook(part) })

describe('the sentence from the outlook', () => {
  it('tells the likely end and the 80 % range on the run\'s clock', () => {
    const told = heartsSentence(outlook({ plan_end: { time_s: spread(9000, 1200), litres: spread(1.2, 0.1), strength_vol: spread(94, 0.4) } }), advice({ step: 'hearts', step_index: 4, state: 'slow_hearts' }), plan, on)
    expect(told).toEqual({ words: 'Hearts should end about', likely: '10:42', earliest: '10:22', latest: '11:02', narrow: false })
  })
  it('speaks of the fast part while slow hearts still follow', () => {
    const told = heartsSentence(outlook(), carry(), plan, on)
    expect(told?.words).toContain('Fast hearts')
    expect(told?.likely).toBe('09:52')
  })
  it('says nothing that is not to be trusted, nor an end that is past', () => {
    expect(heartsSentence(outlook({ untrusted: [{ answer: 'end', why: 'The head thermometer stands still.' }] }), carry(), plan, on)).toBeNull()
    expect(heartsSentence(outlook(), advice({ step: 'hearts', step_index: 4, state: 'slow_hearts', time_s: 99_000 }), plan, on)).toBeNull()
    expect(heartsSentence(outlook(), advice({ step: 'heads', step_index: 3, state: 'heads' }), plan, on)).toBeNull()
  })
  it('tells the end of all hearts while the outlook is older than the step that runs', () => {
    const told = heartsSentence(outlook({ made_at_s: 3580, step_end_s: spread(3590, 8) }), advice({ step: 'hearts', step_index: 3, step_started_s: 3600, time_s: 3650 }), plan, on)
    expect(told?.words).toBe('Hearts should end about')
    expect(told?.likely).toBe('10:12')
  })
  it('never tells a time that has passed as to come', () => {
    const told = heartsSentence(outlook({ step_end_s: spread(4100, 600) }), carry(), plan, on)
    expect(told?.earliest).toBe('09:18')
  })
})

describe('age', () => {
  it('prop_ an outlook older than three minutes of run time is never live', () => {
    for (let late = 0; late < 1000; late += 10) {
      const now = 4000 + late
      const seen = carry({ made_at_s: 4000 }, { time_s: now })
      expect(isOld(outlook({ made_at_s: 4000 }), now)).toBe(late > OLD_AFTER_S)
      expect(liveOutlook(seen) === null).toBe(late > OLD_AFTER_S)
      expect(outlookOf(seen)).not.toBeNull()
    }
  })
  it('has none where the server sends none, and none after the end', () => {
    expect(liveOutlook(advice())).toBeNull()
    expect(liveOutlook(carry({}, { state: 'ended' }))).toBeNull()
  })
})

describe('what is over', () => {
  it('is not told as to come: no hearts once the tails run, though the outlook is from before', () => {
    const over = stillAhead(outlook(), advice({ step: 'tails', step_index: 5, state: 'tails' }), plan)
    expect([over.plan_end, over.step_end_s, over.litres_to_come, over.jars_needed, over.strength_so_far]).toEqual([null, null, null, null, null])
    expect(over.pot_alcohol_l.p50).toBe(1.2)
    expect(stillAhead(outlook(), advice({ step: 'hearts', step_index: 4, state: 'slow_hearts' }), plan)).toEqual(outlook())
  })
})

describe('the fan of what is collected', () => {
  it('prop_ bands lie within each other, begin at what is in the jars and never fall', () => {
    const fan = collectedFan(outlook(), 4000, 0.3, 20_000)
    expect(fan).not.toBeNull()
    if (!fan) return
    expect(fan.likely[0]).toBeCloseTo(0.3)
    fan.times.forEach((_, i) => {
      const at = (values: readonly (number | null)[]): number => values[i] ?? NaN
      expect(at(fan.low95)).toBeLessThanOrEqual(at(fan.low) + 1e-12)
      expect(at(fan.low)).toBeLessThanOrEqual(at(fan.likely) + 1e-12)
      expect(at(fan.likely)).toBeLessThanOrEqual(at(fan.high) + 1e-12)
      expect(at(fan.high)).toBeLessThanOrEqual(at(fan.high95) + 1e-12)
      if (i) expect(at(fan.low95)).toBeGreaterThanOrEqual((fan.low95[i - 1] ?? 0) - 1e-12)
    })
  })
  it('ends with the litres that were forecast', () => {
    const come = spread(0.9, 0.1)
    const fan = collectedFan(outlook({ litres_to_come: come }), 4000, 0.3, 1e6)
    const last = (fan?.times.length ?? 0) - 1
    expect(fan?.likely[last]).toBeCloseTo(0.3 + come.p50)
    expect(fan?.low95[last]).toBeCloseTo(0.3 + come.p025)
    expect(fan?.high95[last]).toBeCloseTo(0.3 + come.p975)
  })
  it('is not drawn where there is nothing to come', () => {
    expect(collectedFan(outlook({ plan_end: null }), 4000, 0.3, 9000)).toBeNull()
    expect(collectedFan(outlook({ litres_to_come: null }), 4000, 0.3, 9000)).toBeNull()
    expect(collectedFan(outlook(), 99_000, 0.3, 1e6)).toBeNull()
    expect(collectedFan(outlook(), 4000, 0.3, 3000)).toBeNull()
  })
})

describe('marks of the ribbon', () => {
  const bounds = [3, 4, 5].map((step_index) => ({ step_index, step: 'hearts' as const, code: '', earliest_s: 5000, likely_s: 6000, latest_s: 7000, basis: '' }))
  const now = advice({ step: 'hearts', step_index: 3, boundaries: bounds as never })
  it('take their bands from the outlook, each step its own', () => {
    const drawn = withOutlook(marks(plan, now), outlook({ step_end_s: spread(5900, 100), stop_s: spread(9900, 100) }), now, plan)
    expect(drawn.map((mark) => mark.likely)).toEqual([5900, 7200, 9900])
    expect(drawn[0]?.widest).toEqual([5740, 6060])
    expect(withOutlook(marks(plan, now), null, now, plan)[0]?.likely).toBe(6000)
  })
  it('keep the plan\'s own where the outlook is about the step before', () => {
    const heads = advice({ step: 'foreshots', state: 'foreshots', step_index: 2, boundaries: bounds as never })
    const drawn = withOutlook(marks(plan, heads), outlook({ step_end_s: spread(4100, 10), stop_s: spread(9900, 100) }), heads, plan)
    expect(drawn.map((mark) => mark.likely)).toEqual([6000, 7200, 9900])
  })
  it('are told as unsure where the end is not trusted', () => {
    const drawn = withOutlook(marks(plan, now), outlook({ untrusted: [{ answer: 'end', why: '' }] }), now, plan)
    expect(drawn.map((mark) => Boolean(mark.unsure))).toEqual([true, true, true])
  })
})

describe('one answer in one drawing', () => {
  const bounds = [3, 4, 5].map((step_index, i) => ({ step_index, step: i < 2 ? 'hearts' as const : 'tails' as const, code: '', earliest_s: 5000 + 1000 * i, likely_s: 5500 + 1000 * i, latest_s: 6000 + 1000 * i, basis: '' }))
  it('the ends of the outlook stand in place of the engine\'s', () => {
    const now = advice({ step: 'hearts', step_index: 3, boundaries: bounds as never })
    const drawn = agreed(outlook({ stop_s: spread(9900, 100) }), now, plan)
    expect(drawn.boundaries.map((bound) => bound.likely_s)).toEqual([6000, 7200, 9900])
    expect(drawn.boundaries.map((bound) => bound.earliest_s)).toEqual([5500, 6500, 9800])
    expect(agreed(null, now, plan)).toBe(now)
  })
  it('the fast part keeps its share of the time until the end of all hearts', () => {
    const heads = advice({ step: 'foreshots', step_index: 2, state: 'foreshots', time_s: 3500, boundaries: bounds as never })
    // 2000 of 3000 s at first; the end of all hearts moves from 6500 to 7100 s.
    const drawn = agreed(outlook({ plan_end: { time_s: spread(7100, 100), litres: spread(1, 0.1), strength_vol: spread(94, 1) } }), heads, plan)
    expect(drawn.boundaries[0]?.likely_s).toBeCloseTo(3500 + 3600 * (2000 / 3000))
  })
  it('prop_ ends never run backwards, whatever the outlook says', () => {
    for (let end = 3000; end < 12_000; end += 450) for (let fast = 3000; fast < 12_000; fast += 450) for (const stop of [3000, 7000, 12_000]) {
      const now = advice({ step: 'hearts', step_index: 3, boundaries: bounds as never })
      const drawn = agreed(outlook({ step_end_s: spread(fast, 300), plan_end: { time_s: spread(end, 300), litres: spread(1, 0.1), strength_vol: spread(94, 1) }, stop_s: spread(stop, 200) }), now, plan).boundaries
      drawn.forEach((bound, i) => {
        expect(bound.likely_s).toBeGreaterThanOrEqual(drawn[i - 1]?.likely_s ?? now.time_s)
        expect(bound.earliest_s).toBeLessThanOrEqual(bound.likely_s)
        expect(bound.latest_s).toBeGreaterThanOrEqual(bound.likely_s)
      })
    }
  })
})

describe('words', () => {
  it('name a gain as roughly as it is known', () => {
    expect(shareWords(0.02)).toBe('hardly')
    expect(shareWords(0.33)).toBe('by about a third')
    expect(shareWords(0.25)).toBe('by about a quarter')
    expect(shareWords(0.5)).toBe('by about half')
    expect(shareWords(1)).toBe('wholly')
    expect(shareWords(NaN)).toBe('hardly')
    expect(helpWords({ action: 'gauge_charge', text: 'weigh the charge.', end_gain: 0.34, litres_gain: 0.2 })).toEqual({ what: 'Gauge and measure what is left of the charge', how: 'Weigh the charge', gain: 'the range of the end should narrow by about a third' })
    expect(helpWords({ action: 'new_one', text: 'do so.', end_gain: 0, litres_gain: 0 }).what).toBe('Do so')
    expect(helpWords({ action: 'x', text: 'do', end_gain: 0.1, litres_gain: 0.5 }).gain).toContain('the litres')
  })
  it('leave out what would hardly help', () => {
    expect(worthwhile(outlook({ would_help: [{ action: 'a', text: 'a', end_gain: 0.01, litres_gain: 0.02 }] }))).toEqual([])
  })
  it('name a fault with its channel, since when, and how likely', () => {
    const told = faultWords({ kind: 'drift', channel: 'head_c', probability: 0.9, since_s: 3600, why: 'it rises while the spirit stays' }, on)
    expect(told).toEqual({ what: 'The head thermometer drifts', where: 'head, since 09:12, 9 in 10', why: 'It rises while the spirit stays.' })
    expect(odds(0.999)).toBe('all but certain')
    expect(odds(0.01)).toBe('hardly likely')
  })
  it('tell doubts of one reason together', () => {
    const told = doubtWords([{ answer: 'end', why: 'It drifts.' }, { answer: 'pot', why: 'No pot probe.' }, { answer: 'rise', why: 'It drifts.' }, { answer: 'strength', why: 'It drifts.' }])
    expect(told.map((item) => item.what)).toEqual(['When the hearts end, the rise over the plateau and the strength cannot be trusted now', 'What is left in the pot cannot be trusted now'])
    expect(told.map((item) => item.why)).toEqual(['It drifts.', 'No pot probe.'])
    expect(doubtWords([])).toEqual([])
  })
  it('find the reason of a doubt', () => {
    expect(doubt(outlook({ untrusted: [{ answer: 'litres', why: 'w' }] }), 'litres')).toBe('w')
    expect(doubt(outlook(), 'litres')).toBeNull()
  })
  it('prop_ a middle value is not told more finely than its range', () => {
    expect(decimalsFor(spread(1.234, 0.2), 2)).toBe(1)
    expect(litresIn(1.234, spread(1.234, 0.2))).toBe('1.2\u00a0L')
    expect(litresIn(1.234, spread(1.234, 0.02))).toBe('1.23\u00a0L')
    expect(strengthIn(94.33, spread(94.33, 1.5), { temperature: 'C', strength: 'vol' })).toBe('94\u00a0%')
    expect(strengthIn(94.33, spread(94.33, 0.1), { temperature: 'C', strength: 'vol' })).toBe('94.3\u00a0%')
  })
  it('counts jars in whole ones, bounded', () => {
    expect(jarCounts({ p025: -1, p10: -0.2, p50: 2.6, p90: 4.2, p975: 500 })).toEqual({ sure: 0, likely: 3, most: 4 })
    expect(jarCounts(spread(1e6, 1)).most).toBe(40)
  })
})
