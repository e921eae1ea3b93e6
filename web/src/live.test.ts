import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import type { Knowledge } from './knowledge'
import { noColumns, POINTS_MAX, thinned, withPoint } from './live/columns'
import { LiveRun, readKnowledge, SAID_MAX, SILENCE_MS, STALL_MS, waitBefore, WAITS_MS, type Source } from './live.svelte'
import { clockOf, tellTime } from './run/sentence'
import { forecast, known, plan, said } from './testing'

class FakeSource implements Source {
  static all: FakeSource[] = []
  readyState = 1
  closed = false
  listeners = new Map<string, (event: MessageEvent<string>) => void>()
  constructor(readonly address: string) { FakeSource.all.push(this) }
  addEventListener(name: string, listener: (event: MessageEvent<string>) => void): void { this.listeners.set(name, listener) }
  close(): void { this.closed = true }
  send(name: string, data: unknown, lastEventId = ''): void { this.listeners.get(name)?.({ data: JSON.stringify(data), lastEventId } as MessageEvent<string>) }
}

const snapshot = {
  id: 'r', plan, mode: 'rehearsal', speed: 60, attendant: true, example: true, started_ms: 0, zone_offset_minutes: 0, forecast: forecast(), knowledge: known({ time_s: 100 }), started: true, title: 'Test run', abandoned: null, checks: null, before_heat: [], jar_size_ml: null, ended: null,
  readings: noColumns(), gauges: [], actions: [], events: [], last_entry: 7,
}
const message = (part: Partial<Knowledge>, point: unknown = null, recorded = 7) => ({ knowledge: known(part), started_ms: started, recorded, point })
let healthy = true
let clock = 0
let asked = 0
let started = 0

beforeEach(() => {
  vi.useFakeTimers()
  FakeSource.all = []
  healthy = true
  clock = 0
  started = 0
  vi.stubGlobal('fetch', async () => {
    asked += 1
    if (!healthy) throw new TypeError('no network')
    return { ok: true, status: 200, json: async () => ({ ...structuredClone(snapshot), started_ms: started }) }
  })
})
afterEach(() => { vi.useRealTimers(); vi.unstubAllGlobals() })

const make = (heard: string[] = []): LiveRun => new LiveRun('r', (event) => heard.push(event.code), (address) => new FakeSource(address), () => clock)

describe('the live feed', () => {
  it('opens after the record and goes on from its last entry', async () => {
    const run = make()
    await run.open()
    expect(FakeSource.all[0]?.address).toBe('/api/events?run=r&after=7')
    expect(run.link).toBe('live')
    FakeSource.all[0]?.send('knowledge', message({ time_s: 101 }, { time_s: 101, head_c: 20, pot_c: 21, rise_k: null, litres: 0, strength_vol: null }))
    expect(run.knowledge?.time_s).toBe(101)
    expect(run.columns.time_s).toEqual([101])
    run.close()
  })
  it('hears each said thing once, also after a replay', async () => {
    const heard: string[] = []
    const run = make(heard)
    await run.open()
    FakeSource.all[0]?.send('said', said({ code: 'a' }), '8')
    FakeSource.all[0]?.send('said', said({ code: 'a' }), '8')
    FakeSource.all[0]?.send('said', said({ code: 'old' }), '5')
    expect(heard).toEqual(['a'])
    run.close()
  })
  it('says it is lost on an error, waits longer each time, and comes back', async () => {
    const run = make()
    await run.open()
    healthy = false
    FakeSource.all[0]?.send('error', {})
    expect(run.link).toBe('lost')
    expect(FakeSource.all[0]?.closed).toBe(true)
    await vi.advanceTimersByTimeAsync(1600)
    expect(run.link).toBe('lost')
    healthy = true
    await vi.advanceTimersByTimeAsync(9000)
    expect(run.link).toBe('live')
    expect(run.back).toContain('Nothing was said or done meanwhile.')
    healthy = false
    FakeSource.all[1]?.send('error', {})
    expect(run.back, 'it is not back').toBe('')
    healthy = true
    await vi.advanceTimersByTimeAsync(5000)
    expect(run.back).toContain('Back after')
    await vi.advanceTimersByTimeAsync(12_000)
    expect(run.back, 'told its own full time').toContain('Back after')
    await vi.advanceTimersByTimeAsync(21_000)
    expect(run.back).toBe('')
    expect(FakeSource.all.length).toBe(3)
    run.close()
  })
  it('asks after a silence, and is lost when nobody answers', async () => {
    const run = make()
    await run.open()
    clock = SILENCE_MS + 1
    await vi.advanceTimersByTimeAsync(2100)
    expect(run.link).toBe('live')
    clock = 2 * SILENCE_MS - 3000
    healthy = false
    await vi.advanceTimersByTimeAsync(2100)
    expect(run.link).toBe('live')
    clock = 3 * SILENCE_MS
    await vi.advanceTimersByTimeAsync(2100)
    expect(run.link).toBe('lost')
    run.close()
  })
  it('regress_ a server that answers while the run stands still is not believed: nothing is live until time grows', async () => {
    const run = make()
    await run.open()
    for (clock = 1000; clock <= STALL_MS + 2000; clock += 1000) {
      FakeSource.all.at(-1)?.send('knowledge', message({ time_s: 100 }))
      await vi.advanceTimersByTimeAsync(1000)
    }
    expect([run.link, run.live, run.heardAt]).toEqual(['stalled', false, 100])
    FakeSource.all.at(-1)?.send('knowledge', message({ time_s: 100 }))
    expect(run.live).toBe(false)
    FakeSource.all.at(-1)?.send('knowledge', message({ time_s: 101 }))
    expect([run.link, run.heardAt]).toEqual(['live', 101])
    run.close()
  })
  it('a halted rehearsal, a run before heat and an ended one may stand still', async () => {
    for (const halt of ['speed', 'before_heat', 'ended'] as const) {
      const run = make()
      await run.open()
      if (halt === 'speed') FakeSource.all.at(-1)?.send('speed', { speed: 0 })
      else FakeSource.all.at(-1)?.send('knowledge', message({ time_s: 100, state: halt }))
      clock += 5 * STALL_MS
      await vi.advanceTimersByTimeAsync(4200)
      expect(run.link).toBe('live')
      run.close()
    }
  })
  it('regress_ the start of a run is none before heat, and travels with every message: 20 min at the check list move every clock time', async () => {
    const run = make()
    await run.open()
    FakeSource.all[0]?.send('knowledge', { ...message({ time_s: 0, state: 'before_heat' }), started_ms: null })
    expect(run.startedMs).toBeNull()
    started = 20 * 60_000
    FakeSource.all[0]?.send('knowledge', message({ time_s: 1, state: 'heating' }))
    expect(run.startedMs).toBe(20 * 60_000)
    expect(tellTime(600, clockOf(run))).toBe('00:30')
    run.close()
  })
  it('what somebody records elsewhere is asked for at once, and not for each of many', async () => {
    const run = make()
    await run.open()
    asked = 0
    for (let entry = 8; entry < 40; entry += 1) FakeSource.all[0]?.send('recorded', { entry })
    await vi.advanceTimersByTimeAsync(1000)
    expect([run.recorded, asked]).toEqual([39, 2])
    FakeSource.all[0]?.send('recorded', { entry: 39 })
    FakeSource.all[0]?.send('knowledge', message({ time_s: 102 }, null, 39))
    await vi.advanceTimersByTimeAsync(1000)
    expect(asked).toBe(2)
    run.close()
  })
  it('prop_ waits and lists are bounded', () => {
    expect(waitBefore(0)).toBe(WAITS_MS[0])
    expect(waitBefore(1000)).toBe(8000)
    let columns = noColumns()
    for (let i = 0; i < POINTS_MAX * 3; i += 1) columns = withPoint(columns, { time_s: i, head_c: i, pot_c: 0, rise_k: 0, litres: 0, strength_vol: 0 })
    expect(columns.time_s.length).toBeLessThanOrEqual(POINTS_MAX)
    expect(columns.time_s.at(-1)).toBe(POINTS_MAX * 3 - 1)
    expect(columns.head_c.length).toBe(columns.time_s.length)
  }, 20_000)
  it('keeps the newer half whole when thinning', () => {
    let columns = noColumns()
    for (let i = 0; i < 8; i += 1) columns = withPoint(columns, { time_s: i, head_c: i, pot_c: 0, rise_k: 0, litres: 0, strength_vol: 0 })
    expect(thinned(columns).time_s).toEqual([0, 2, 4, 5, 6, 7])
  })
  it('does not hear the past twice', async () => {
    expect(withPoint({ ...noColumns(), time_s: [5] }, { time_s: 5, head_c: 0, pot_c: 0, rise_k: 0, litres: 0, strength_vol: 0 }).time_s).toEqual([5])
    const run = make()
    await run.open()
    for (let i = 0; i < SAID_MAX + 20; i += 1) FakeSource.all[0]?.send('said', said(), String(8 + i))
    expect(run.said.length).toBe(SAID_MAX)
    run.close()
  })
  it('reads the message of the feed', () => {
    expect(readKnowledge(JSON.stringify(message({ time_s: 3 }))).knowledge.time_s).toBe(3)
  })
})
