import { describe, expect, it } from 'vitest'
import type { AlarmNow } from '../knowledge'
import { alarmLine, heldBack, outcome, quietOnly, reviewSentence } from './alarms'

const at = { startedMs: 0, zoneOffsetMinutes: 0 }
const alarm = (part: Partial<AlarmNow> = {}): AlarmNow => ({ code: 'coolant_loss', words: 'coolant', state: 'active_unseen', priority: 'critical', raised_s: 3600, follows: null, chatters: false, stands_long: false, ...part })

describe('alarms in words', () => {
  it('each state says what it is', () => {
    const states = ['active_unseen', 'active_seen', 'cleared_unseen', 'cleared_seen', 'quiet'] as const
    const lines = states.map((state) => alarmLine(alarm({ state }), { quiet: [], alarm_list: [] }, at))
    expect(new Set(lines).size).toBe(5)
    expect(lines[0]).toBe('critical, since 01:00: there, not seen yet: it sounds.')
    expect(lines[3]).toContain('to be reset')
  })
  it('a quiet one says until when and why; a follower what came first', () => {
    const known = { quiet: [{ code: 'cover_near', until_s: 7200, reason: 'filling up' }], alarm_list: [alarm()] }
    expect(alarmLine(alarm({ code: 'cover_near', state: 'quiet', priority: 'high', follows: 'coolant_loss', chatters: true, stands_long: true }), known, at))
      .toBe('high, since 01:00: quiet until 02:00: filling up; follows from coolant; comes again and again; stands long.')
    expect(quietOnly(known).map(({ code }) => code)).toEqual(['cover_near'])
  })
  it('what is held back is told by its reason', () => {
    expect(heldBack([{ code: 'a', words: 'coolant', because: 'no vapour' }, { code: 'b', words: 'a boil-over', because: 'no boil' }, { code: 'c', words: 'warm spirit', because: 'no vapour' }]))
      .toEqual([{ because: 'no vapour', words: ['coolant', 'warm spirit'] }, { because: 'no boil', words: ['a boil-over'] }])
  })
  it('an output that was not set was not told', () => {
    expect([{ set: false, failed: null }, { set: true, failed: 'exit code 2' }, { set: true, failed: null }].map((one) => outcome({ output: 'command', ...one }))).toEqual(['not set', 'failed: exit code 2', 'told'])
  })
  it('a run is looked back at in one sentence', () => {
    const review = { run_s: 18_000, alarms: 3, per_hour: 0.6, second_person: 1, worst: [], quiet: [] }
    expect(reviewSentence(review)).toBe('3 alarms in 5\u00a0h\u00a000, 0.6 an hour. The second person was to be called once.')
    expect(reviewSentence({ ...review, alarms: 0 })).toBe('No alarm in 5\u00a0h\u00a000.')
  })
})
