import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { DEAD_MS, DeadKeys } from './dead.svelte'
import { RunKeeper, type Shelf } from './kept'
import { AGAIN_MS, LOST_AFTER_S, NoAnswer, Outbox, WAITING_MAX } from './outbox.svelte'
import { actionWords } from './said'

let away = false
let clock = 0
let sent: { ask: string; agoS: number; key: string }[] = []
let refused: string[] = []
let shelf: Shelf
/** What a browser keeps, under two pages. */
function aShelf(): Shelf {
  const kept = new Map<string, string>()
  return { getItem: (name) => kept.get(name) ?? null, setItem: (name, text) => void kept.set(name, text), removeItem: (name) => void kept.delete(name), key: (i) => [...kept.keys()][i] ?? null, get length() { return kept.size } }
}
const make = (run = 'one'): Outbox<string> => new Outbox<string>(async (ask, key, agoS) => {
  if (away) throw new NoAnswer('Middlecut does not answer.')
  if (ask === 'bad') throw new Error('no such jar')
  sent.push({ ask, agoS, key })
  return sent.length
}, (why) => refused.push(why), { runS: () => clock, stopwatch: () => clock * 1000 }, new RunKeeper<string>(run, shelf))

beforeEach(() => { vi.useFakeTimers(); away = false; clock = 0; sent = []; refused = []; shelf = aShelf() })
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

describe('acts that waited when the page was loaded anew', () => {
  /** Pressed at 0 s in a page that is then left. */
  async function left(...asks: string[]): Promise<void> {
    const box = make()
    away = true
    for (const ask of asks) void box.put(ask, `${ask} done.`)
    await vi.advanceTimersByTimeAsync(0)
    box.close()
    await vi.advanceTimersByTimeAsync(AGAIN_MS * 2)
  }
  it('are sent once, in order, with the keys they had and how long ago they were done', async () => {
    await left('jar 3', 'heater 0')
    const other = make('two')
    expect(other.waiting).toEqual([])
    const box = make()
    const keys = box.waiting.map((item) => item.key)
    expect([box.held, box.waiting.map((item) => item.words)]).toEqual([true, ['jar 3 done.', 'heater 0 done.']])
    away = false
    clock = 60
    await box.flush()
    expect(sent).toEqual([{ ask: 'jar 3', agoS: 60, key: keys[0] }, { ask: 'heater 0', agoS: 60, key: keys[1] }])
    expect([box.waiting, make().waiting]).toEqual([[], []])
  })
  it('are said to be lost after ten minutes, in every page until somebody has read it', async () => {
    await left('jar 3')
    away = false
    clock = LOST_AFTER_S + 1
    await make().flush()
    const box = make()
    expect([sent, box.waiting, box.lost.map((item) => item.words)]).toEqual([[], [], ['jar 3 done.']])
    box.forget()
    expect(make().lost).toEqual([])
  })
  it('taken back in one page are not sent by another', async () => {
    await left('jar 3')
    const [box, other] = [make(), make()]
    box.takeBack(box.waiting[0]?.key ?? '')
    away = false
    await other.flush()
    expect([sent, other.waiting]).toEqual([[], []])
  })
  it('a browser that keeps nothing, or something else, stops no act', async () => {
    shelf.setItem('middlecut.waiting.one.x', '{"key": 3')
    shelf = { ...aShelf(), setItem: () => { throw new Error('full') } }
    const box = make()
    expect(await box.put('jar 4', 'y')).toBe(1)
    expect([box.waiting, box.lost]).toEqual([[], []])
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
