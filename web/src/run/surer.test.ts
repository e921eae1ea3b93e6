import { describe, expect, it } from 'vitest'
import { METRIC } from '../units'
import { around, STARTED_MS } from '../testing'
import { decimalsFor, litresIn, strengthIn } from './fineness'
import { odds } from './balance'
import { doubtWords, helpWords, jarCounts, plainUnknown, shareWords, unknownWords, worthwhile } from './surer'

const on = { startedMs: STARTED_MS, zoneOffsetMinutes: 120 }

describe('words', () => {
  it('name a gain as roughly as it is known', () => {
    expect(shareWords(0.02)).toBe('hardly')
    expect(shareWords(0.33)).toBe('by about a third')
    expect(shareWords(0.25)).toBe('by about a quarter')
    expect(shareWords(0.5)).toBe('by about half')
    expect(shareWords(1)).toBe('wholly')
    expect(shareWords(NaN)).toBe('hardly')
    expect(helpWords({ action: 'gauge_charge', text: 'weigh the charge.', end_gain: 0.34, litres_gain: 0.2 })).toEqual({ what: 'Gauge and measure what is left of the charge', how: 'Weigh the charge', gain: 'the range of the end should narrow by about a third' })
    expect(helpWords({ action: 'drain_back', text: 'after this run.', end_gain: 0.34, litres_gain: 0.2 }).gain).toBe("the range of the next run's end should narrow by about a third")
    expect(helpWords({ action: 'new_one', text: 'do so.', end_gain: 0, litres_gain: 0 }).what).toBe('Do so')
    expect(helpWords({ action: 'x', text: 'do', end_gain: 0.1, litres_gain: 0.5 }).gain).toContain('the litres')
  })
  it('leave out what would hardly help', () => {
    expect(worthwhile([{ action: 'a', text: 'a', end_gain: 0.01, litres_gain: 0.02 }])).toEqual([])
  })
  it('name a fault, since when, and how likely', () => {
    const told = doubtWords({ code: 'drift', words: 'a head thermometer that drifts', channel: 'head_c', odds: '9 in 10', since_s: 3600, why: 'it rises while the spirit stays' }, on)
    expect(told).toEqual({ what: 'A head thermometer that drifts', where: 'since 09:12, 9 in 10', why: 'It rises while the spirit stays.' })
    expect(odds(0.999)).toBe('all but certain')
    expect(odds(0.01)).toBe('hardly likely')
  })
  it('tell doubts of one reason together', () => {
    const told = unknownWords([{ what: 'end', words: 'When the hearts end', why: 'It drifts.' }, { what: 'pot', words: 'What is left in the pot', why: 'No pot probe.' }, { what: 'rise', words: 'The rise over the plateau', why: 'It drifts.' }, { what: 'strength', words: 'The strength', why: 'It drifts.' }])
    expect(told.map((item) => item.what)).toEqual(['When the hearts end, the rise over the plateau and the strength cannot be told now.', 'What is left in the pot cannot be told now.'])
    expect(told.map((item) => item.why)).toEqual(['It drifts.', 'No pot probe.'])
    expect(unknownWords([])).toEqual([])
  })
  it('what no probe can give in a healthy run is said calmly, and as a lost head only while the head is lost', () => {
    const young = [{ what: 'rise', words: 'The rise over the plateau', why: "this run's plateau is known after 20 min of hearts, not before" }]
    expect([unknownWords(young), plainUnknown(young)]).toEqual([[], ["The rise over the plateau: this run's plateau is known after 20 min of hearts, not before."]])
    const lost = ['rise', 'strength'].map((what) => ({ what, words: `The ${what}`, why: 'the head is not read any more' }))
    expect([unknownWords(lost).map(({ what }) => what), plainUnknown(lost)]).toEqual([['The rise and the strength cannot be told now.'], []])
  })
  it('a coolant that no probe watches is said at every point of the run, calmly', () => {
    const unwatched = [{ what: 'coolant', words: 'Whether the coolant runs', why: 'look where it runs out' }]
    expect([unknownWords(unwatched), plainUnknown(unwatched)]).toEqual([[], ['Whether the coolant runs: look where it runs out.']])
  })
  it('prop_ a middle value is not told more finely than its range', () => {
    expect(decimalsFor(around(1.234, 0.2), 2)).toBe(1)
    expect(litresIn(1.234, around(1.234, 0.2))).toBe('1.2\u00a0L')
    expect(litresIn(1.234, around(1.234, 0.02))).toBe('1.23\u00a0L')
    expect(strengthIn(94.33, around(94.33, 1.5), METRIC)).toBe('94\u00a0%')
    expect(strengthIn(94.33, around(94.33, 0.1), METRIC)).toBe('94.3\u00a0%')
  })
  it('counts jars in whole ones, bounded', () => {
    expect(jarCounts({ p025: -1, p10: -0.2, p50: 2.6, p90: 4.2, p975: 500 })).toEqual({ sure: 0, likely: 3, most: 4 })
    expect(jarCounts(around(1e6, 1)).most).toBe(40)
  })
})
