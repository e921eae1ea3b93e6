import { expect, test } from 'vitest'
import { end, known as knowing } from '../testing'
import type { Attended, LiveEvent, RunSnapshot } from '../types'
import { loudest } from './attending.svelte'
import { callOf, needWords, outdated, piecesOf, windowOfAll } from './ribbons'

const NOW = Date.UTC(2026, 9, 3, 12)
const alarm = (code: string, priority: LiveEvent['priority']): LiveEvent => ({ time_s: 0, kind: 'alarm', code, priority, text: `${code}.`, how_sure: '', do: 'Look.', within_s: 60 }) as unknown as LiveEvent
const standing = (part: Partial<NonNullable<Attended['now']>> = {}): NonNullable<Attended['now']> =>
  ({ time_s: 7200, started_ms: NOW - 7_200_000, state: 'hearts', headline: 'Collecting hearts.', step: 'hearts', ends: [end(4, 9000, 600)], alarms: [], seen: [], prompts: [], attendant_left_s: 500, ...part })
const run = (id: string, part: Partial<Attended> = {}): Attended => ({ id, title: `Run ${id}`, still: `Still ${id}`, mode: 'real', example: false, speed: null, need: 'comes', words: 'Hearts should end', in_s: 1200, now: standing(), ...part })

test('the sentence names the run that needs a person, as an alarm, as due or with the time left', () => {
  const all = (next: string | null, ...runs: Attended[]) => callOf({ now_ms: NOW, next, runs })
  expect(all('a', run('a', { need: 'alarm', words: 'The coolant is lost.', in_s: 0 }), run('b'))).toEqual({ kind: 'alarm', words: 'Still a: Run a. The coolant is lost.', id: 'a' })
  expect(all('b', run('a'), run('b', { need: 'due', words: 'Begin hearts', in_s: 0 })).words).toBe('Now: Still b: Run b. Begin hearts.')
  expect(all('a', run('a')).words).toBe('Next: Still a: Run a. Hearts should end in 20\u00a0min at the earliest.')
  expect(all(null, run('a', { need: 'nothing', words: '' })).words).toContain('Look in all the same')
  expect(all(null)).toEqual({ kind: 'none', words: '', id: null })
})

test('a run that cannot be told is as loud as a high alarm; what was seen is silent', () => {
  expect(loudest([run('a'), run('b', { need: 'unknown', now: null })])).toBe('high')
  expect(loudest([run('a', { now: standing({ alarms: [alarm('coolant_loss', 'critical')] }) }), run('b')])).toBe('critical')
  expect(loudest([run('a', { now: standing({ alarms: [alarm('coolant_loss', 'critical')], seen: ['coolant_loss'] }) })])).toBeNull()
  expect(loudest([])).toBeNull()
})

test('all ribbons share one window, with the present in it and bounded both ways', () => {
  expect(windowOfAll([])).toEqual([-600, 1836])
  const [back, ahead] = windowOfAll([run('a'), run('b', { now: standing({ time_s: 40_000, ends: [end(4, 90_000, 10)] }) })])
  expect([back, ahead]).toEqual([-3 * 3600, 6 * 3600])
})

test('a ribbon shows the steps so far by what was read of the run, and is read again when another step runs', () => {
  const known = knowing({ time_s: 7000, step: { index: 2, name: 'hearts', kind: 'hearts', slow: false, started_s: 5000 } as never })
  const plan = { step: [{ do: 'heat' }, { do: 'equalise' }, { do: 'hearts' }, { do: 'stop' }] }
  const events = [{ kind: 'step', code: 'equalise', time_s: 3000 }, { kind: 'step', code: 'hearts', time_s: 5000 }]
  const snapshot = { knowledge: known, plan, events } as unknown as RunSnapshot
  const pieces = piecesOf(run('a', { now: standing({ ends: [end(2, 9000, 600)] }) }), snapshot)
  expect(pieces.map(({ kind, from, to, past }) => [kind, from, to, past])).toEqual([['heat', 0, 3000, true], ['equalise', 3000, 5000, true], ['hearts', 5000, 7200, true], ['hearts', 7200, 9000, false]])
  expect(outdated(run('a'), snapshot)).toBe(false)
  expect(outdated(run('a', { now: standing({ step: 'tails' }) }), snapshot)).toBe(true)
  expect(outdated(run('a'), undefined)).toBe(true)
  expect(outdated(run('a', { now: null }), undefined)).toBe(false)
})

test('what stands beside a ribbon says when, but not of what is now', () => {
  expect(needWords(run('a'))).toBe('Hearts should end, in 20\u00a0min.')
  expect(needWords(run('a', { need: 'due', words: 'Begin hearts.', in_s: 0 }))).toBe('Begin hearts.')
  expect(needWords(run('a', { need: 'nothing' }))).toBe('')
})
