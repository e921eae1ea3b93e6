// What a page holds, shifts and draws while a run goes on: measured in the browser, on whatever device it is.
import { expect, type CDPSession, type Page } from '@playwright/test'
import { goTo, openExample, rehearse, speed, told } from './house'

/** The whole: a message each second, and frames counted while the strip moves. By hand, `cargo xtask page-trials`. */
export const LONG = Boolean(process.env.MIDDLECUT_LONG)
const HOURS_12 = 12 * 3600
/** How long the strip is moved while its frames are counted. */
const MOVED_MS = 4000

/** A feed that the test drives: the page opens it as it opens the server's. Call before the run opens. */
async function driven(page: Page): Promise<void> {
  await page.addInitScript(() => {
    const open: { listeners: Map<string, ((event: MessageEvent<string>) => void)[]>; closed: boolean }[] = []
    class Fed {
      readonly readyState = 1
      self = { listeners: new Map<string, ((event: MessageEvent<string>) => void)[]>(), closed: false }
      constructor() { open.push(this.self) }
      addEventListener(name: string, listener: (event: MessageEvent<string>) => void): void { this.self.listeners.set(name, [...(this.self.listeners.get(name) ?? []), listener]) }
      close(): void { this.self.closed = true }
    }
    Object.assign(window, {
      EventSource: Fed,
      feed: (name: string, data: unknown, id = '') => {
        const event = new MessageEvent(name, { data: JSON.stringify(data), lastEventId: id })
        for (const one of open) if (!one.closed) for (const listener of one.listeners.get(name) ?? []) listener(event)
      },
    })
  })
  await page.reload()
}

/** Runs the feed from one run time to another, a message every `step` seconds, some messages a frame. */
async function run(page: Page, knowledge: object, startedMs: number, from: number, to: number, step: number, atOnce: number, everyMs = 0): Promise<void> {
  await page.evaluate(async ({ knowledge, startedMs, from, to, step, atOnce, everyMs }) => {
    const { feed } = window as unknown as { feed: (name: string, data: unknown, id?: string) => void }
    const known = knowledge as { time_s: number; ends: { at: Record<string, number> }[]; rise: { kelvin: number } | null }
    const begun = known.time_s
    let sent = 0
    for (let time_s = from; time_s < to; time_s += step) {
      const wave = Math.sin(time_s / 97)
      const ends = known.ends.map((end) => ({ ...end, at: Object.fromEntries(Object.entries(end.at).map(([key, value]) => [key, value + time_s - begun])) }))
      const message = { ...known, time_s, ends, rise: known.rise && { ...known.rise, kelvin: 0.1 * wave } }
      feed('knowledge', { knowledge: message, started_ms: startedMs, recorded: 0, point: { time_s, head_c: 78.3 + 0.05 * wave, pot_c: 94 + wave, rise_k: 0.1 * wave, litres: 1 + time_s / 40_000, strength_vol: 94 + wave } })
      if (sent % 60 === 0) feed('said', { time_s, kind: 'info', code: 'moved', priority: 'low', text: 'The forecast moved.', how_sure: '', do: '', within_s: null })
      sent += 1
      if (everyMs) await new Promise((done) => setTimeout(done, everyMs))
      else if (sent % atOnce === 0) await new Promise((done) => requestAnimationFrame(done))
    }
    await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))
  }, { knowledge, startedMs, from, to, step, atOnce, everyMs })
}

interface Held { heap: number; nodes: number; listeners: number; wire: number }
/** What the page holds once everything that can go has gone, and what it has asked for over the wire so far. */
async function held(cdp: CDPSession, wire: () => number): Promise<Held> {
  await cdp.send('HeapProfiler.collectGarbage')
  await cdp.send('HeapProfiler.collectGarbage')
  const { metrics } = await cdp.send('Performance.getMetrics')
  const of = (name: string): number => metrics.find((metric) => metric.name === name)?.value ?? 0
  return { heap: of('JSHeapUsedSize'), nodes: of('Nodes'), listeners: of('JSEventListeners'), wire: wire() }
}

/** How far anything moved that nobody moved, since the page was opened (Layout Instability; a good page stays under 0.1). */
async function shifts(page: Page): Promise<void> {
  await page.addInitScript(() => {
    const found: { value: number; what: string }[] = []
    Object.assign(window, { shifts: found })
    new PerformanceObserver((list) => {
      for (const entry of list.getEntries() as unknown as { value: number; hadRecentInput: boolean; sources: { node: Element | null }[] }[]) {
        if (!entry.hadRecentInput) found.push({ value: entry.value, what: entry.sources.map(({ node }) => `${node?.nodeName ?? '?'}.${(node as Element | null)?.className ?? ''}`).join(' ') })
      }
    }).observe({ type: 'layout-shift', buffered: true })
  })
}
async function still(page: Page, where: string): Promise<number> {
  const found = await page.evaluate(() => (window as unknown as { shifts: { value: number; what: string }[] }).shifts)
  const sum = found.reduce((all, { value }) => all + value, 0)
  expect(sum, `${where} moved by itself: ${JSON.stringify(found)}`).toBeLessThan(0.02)
  return sum
}

/** The example's run at a halt, whose feed the test drives from then on. */
async function halted(page: Page): Promise<Awaited<ReturnType<typeof told>>> {
  await driven(page)
  await openExample(page)
  await rehearse(page, '1')
  await speed(page, 'pause')
  return told(page)
}

/** Twelve hours of a run in little time: what is held at their end is what was held at their half. */
export async function twelveHours(page: Page): Promise<string> {
  const { knowledge, started_ms } = await halted(page)
  const cdp = await page.context().newCDPSession(page)
  await cdp.send('Performance.enable')
  let asked = 0
  page.on('response', (response) => { if (response.url().includes('/api/')) asked += Number(response.headers()['content-length'] ?? 0) + 200 })
  const [step, atOnce] = LONG ? [1, 12] : [15, 24]
  const marks: Held[] = []
  for (const [from, to] of [[0.1, 0.5], [0.5, 0.75], [0.75, 1]] as const) {
    await run(page, knowledge, started_ms, from * HOURS_12, to * HOURS_12, step, atOnce)
    marks.push(await held(cdp, () => asked))
  }
  const [half, later, end] = marks as [Held, Held, Held]
  await expect(page.getByRole('img', { name: /^Run strip/ })).toBeVisible()
  expect(end.nodes, `nodes ${JSON.stringify(marks)}`).toBeLessThanOrEqual(half.nodes * 1.05 + 50)
  expect(end.listeners).toBeLessThanOrEqual(half.listeners * 1.05 + 10)
  expect(end.heap, `heap ${JSON.stringify(marks)}`).toBeLessThan(half.heap * 1.05 + 300_000)
  expect(end.wire - later.wire, 'the second half asks for no more than the first').toBeLessThanOrEqual((later.wire - half.wire) * 1.2 + 20_000)
  const mb = ({ heap }: Held): string => (heap / 1e6).toFixed(2)
  return `at 6, 9 and 12 h: heap ${marks.map(mb).join(', ')} MB; nodes ${marks.map(({ nodes }) => nodes).join(', ')}; listeners ${marks.map(({ listeners }) => listeners).join(', ')}; asked for in each quarter ${later.wire - half.wire}, ${end.wire - later.wire} B`
}

/** Each page by itself as it comes over the wire, and a run: nothing moves that nobody moved. */
export async function nothingMoves(page: Page, at: string): Promise<string> {
  await shifts(page)
  await page.goto(at)
  await openExample(page)
  const most: number[] = []
  for (const place of ['plan', 'bench', 'still', 'run']) {
    await page.goto(`${at}/#/${place}`)
    await page.reload()
    await expect(page.getByRole('heading', { level: 1 })).toBeVisible()
    await page.waitForLoadState('networkidle')
    most.push(await still(page, place))
  }
  await goTo(page, 'Plan')
  await rehearse(page, '1')
  await page.reload()
  await expect(page.getByRole('img', { name: /^Run strip/ })).toBeVisible()
  await page.waitForLoadState('load')
  await page.waitForTimeout(500)
  most.push(await still(page, 'a run'))
  return `layout shift of plan, bench, still, runs, a run: ${most.map((sum) => sum.toFixed(4)).join(', ')}`
}

/** Frames while the strip is moved on a processor four times as slow and a message comes each second. */
export async function frames(page: Page): Promise<string> {
  const { knowledge, started_ms } = await halted(page)
  await run(page, knowledge, started_ms, 0, 6 * 3600, 10, 24)
  const cdp = await page.context().newCDPSession(page)
  await cdp.send('Emulation.setCPUThrottlingRate', { rate: 4 })
  const strip = page.locator('.strip .window')
  await strip.scrollIntoViewIfNeeded()
  const box = await strip.boundingBox()
  const [x, y, reach] = [(box?.x ?? 0) + (box?.width ?? 0) / 2, (box?.y ?? 0) + 120, (box?.width ?? 0) * 0.4]
  // What is heard goes on beneath the finger, a message a second.
  const heard = run(page, knowledge, started_ms, 6 * 3600, 6 * 3600 + 5, 1, 1, 1000)
  const counted = page.evaluate((ms) => new Promise<number[]>((done) => {
    const times: number[] = []
    const look = (now: number): void => { times.push(now); if (now - (times[0] ?? now) < ms) requestAnimationFrame(look); else done(times) }
    requestAnimationFrame(look)
  }), MOVED_MS)
  await page.mouse.move(x, y)
  await page.mouse.down()
  let moves = 0
  for (const end = Date.now() + MOVED_MS; Date.now() < end; moves += 1) await page.mouse.move(x + reach * Math.sin(moves / 30), y)
  await page.mouse.up()
  const times = await counted
  await heard
  const gaps = times.slice(1).map((time, i) => time - (times[i] ?? time)).sort((a, b) => a - b)
  const at = (share: number): number => gaps[Math.min(Math.floor(gaps.length * share), gaps.length - 1)] ?? 99
  const counts = `${gaps.length} frames in 4 s, ${moves} moves; median ${at(0.5).toFixed(1)} ms, p95 ${at(0.95).toFixed(1)} ms, longest ${at(1).toFixed(1)} ms`
  expect(at(0.95), `p95 of the time between two frames: ${counts}`).toBeLessThan(20)
  return counts
}

/** Bytes of the page's own files that came before its first paint, as they went over the wire. */
export async function firstPaint(page: Page): Promise<string> {
  await openExample(page)
  await rehearse(page, '1')
  await page.reload()
  await expect(page.getByRole('img', { name: /^Run strip/ })).toBeVisible()
  const { bytes, files, ms } = await page.evaluate(() => {
    const ms = performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? 0
    const own = [...performance.getEntriesByType('navigation'), ...performance.getEntriesByType('resource')] as PerformanceResourceTiming[]
    const before = own.filter((one) => !one.name.includes('/api/') && one.responseEnd <= ms)
    return { bytes: before.reduce((sum, one) => sum + (one.encodedBodySize ?? 0), 0), files: before.length, ms }
  })
  expect(bytes, `${files} files before the first paint`).toBeLessThanOrEqual(45_000)
  expect(bytes).toBeGreaterThan(5_000)
  return `${bytes} B in ${files} files before the first paint of a run, at ${ms.toFixed(0)} ms`
}
