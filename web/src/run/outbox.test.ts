import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { DEAD_MS, DeadKeys } from './dead.svelte'
import { AGAIN_MS, LOST_AFTER_S, NoAnswer, Outbox, WAITING_MAX } from './outbox.svelte'
import { actionWords } from './said'

let away = false
let clock = 0
let sent: { ask: string; agoS: number; key: string }[] = []
let refused: string[] = []
const make = (): Outbox<string> => new Outbox<string>(async (ask, key, agoS) => {
  if (away) throw new NoAnswer('Middlecut does not answer.')
  if (ask === 'bad') throw new Error('no such jar')
  sent.push({ ask, agoS, key })
  return sent.length
}, (why) => refused.push(why), { runS: () => clock, stopwatch: () => clock * 1000 })

beforeEach(() => { vi.useFakeTimers(); away = false; clock = 0; sent = []; refused = [] })
afterEach(() => vi.useRealTimers())

describe('acts while the server is away', () => {
  it('are kept in order and sent with how long ago they were done', async () => {
    const box = make()
    away = true
    void box.put('jar 3', 'Jar 3 opened.')
    await vi.advanceTimersByTimeAsync(0)
    clock = 20
    const second = box.put('heater 0', 'Heater off.')
    await vi.advanceTimersByTimeAsync(0)
    expect([box.held, box.waiting.map((item) => item.words)]).toEqual([true, ['Jar 3 opened.', 'Heater off.']])
    away = false
    clock = 60
    await vi.advanceTimersByTimeAsync(AGAIN_MS)
    expect(sent.map(({ ask }) => ask)).toEqual(['jar 3', 'heater 0'])
    expect(sent[0]?.agoS).toBe(60)
    expect(await second).toBe(2)
    expect([box.held, box.waiting, box.lost]).toEqual([false, [], []])
    box.close()
  })
  it('are said to be lost after ten minutes, and when refused', async () => {
    const box = make()
    away = true
    void box.put('jar 3', 'Jar 3 opened.')
    void box.put('bad', 'Jar 99 opened.')
    await vi.advanceTimersByTimeAsync(0)
    clock = LOST_AFTER_S - 1
    await vi.advanceTimersByTimeAsync(AGAIN_MS)
    clock = LOST_AFTER_S + 1
    away = false
    await vi.advanceTimersByTimeAsync(AGAIN_MS)
    expect(sent).toEqual([])
    expect(box.lost.map((item) => item.words)).toContain('Jar 3 opened.')
    expect(box.waiting).toEqual([])
    box.close()
  })
  it('refused at once is told at once, and holds nothing up', async () => {
    const box = make()
    expect(await box.put('bad', 'x')).toBeNull()
    expect(await box.put('jar 4', 'y')).toBe(1)
    expect([refused, box.lost]).toEqual([['no such jar'], []])
    box.close()
  })
  it('can be taken back while they wait', async () => {
    const box = make()
    away = true
    void box.put('jar 3', 'Jar 3 opened.')
    await vi.advanceTimersByTimeAsync(0)
    box.takeBack(box.waiting[0]?.key ?? '')
    away = false
    await vi.advanceTimersByTimeAsync(AGAIN_MS)
    expect([sent, box.held]).toEqual([[], false])
    box.close()
  })
  it('prop_ no more than so many wait, and each has a key of its own', async () => {
    const box = make()
    away = true
    for (let i = 0; i < WAITING_MAX + 5; i += 1) void box.put(`note ${i}`, 'n')
    await vi.advanceTimersByTimeAsync(0)
    expect([box.waiting.length, box.lost.length]).toEqual([WAITING_MAX, 5])
    expect(new Set(box.waiting.map((item) => item.key)).size).toBe(WAITING_MAX)
    box.close()
  })
})

describe('a key that acted', () => {
  it('regress_ two taps 180 ms apart act once; after two seconds it acts again', async () => {
    const keys = new DeadKeys()
    let acts = 0
    keys.press('due', () => (acts += 1))
    await vi.advanceTimersByTimeAsync(180)
    keys.press('due', () => (acts += 1))
    expect([acts, keys.is('due'), keys.is('jar')]).toEqual([1, true, false])
    await vi.advanceTimersByTimeAsync(DEAD_MS)
    keys.press('due', () => (acts += 1))
    expect(acts).toBe(2)
    keys.close()
  })
})

describe('what was recorded, in words', () => {
  it('has no codes', () => {
    const named = (code: string) => (code === 'head_runs_away' ? 'The head runs away' : code)
    expect(actionWords({ action: 'seen', note: 'head_runs_away' }, named)).toBe('Seen: The head runs away.')
    expect(actionWords({ action: 'quiet', value: 10, note: 'head_runs_away: I know' }, named)).toBe('Quiet for 10 min: The head runs away (I know).')
    expect(actionWords({ action: 'gauge', value: 95.2, unit: 'vol_at_18.0' })).toBe('The glass reads 95.2 % vol at 18.0 °C.')
    expect(actionWords({ action: 'takeoff', value: 9, unit: 'reflux_ratio' })).toBe('Take-off changed to reflux ratio 9.')
    expect(actionWords({ action: 'here' })).toBe('')
  })
})
