// What every browser test needs: a server of its own on a fresh data folder, and a page that looks for trouble.
import { test as base, expect, type Page, type TestInfo } from '@playwright/test'
import { execFile, spawn, type ChildProcess } from 'node:child_process'
import { mkdtemp, readFile, rm } from 'node:fs/promises'
import { createRequire } from 'node:module'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createInterface } from 'node:readline'
import { promisify } from 'node:util'

const run = promisify(execFile)
const axePath = createRequire(import.meta.url).resolve('axe-core/axe.min.js')

export function binary(): string {
  const path = process.env.MIDDLECUT_BIN
  if (!path) throw new Error('MIDDLECUT_BIN must name the middlecut program')
  return path
}

/** Runs the program to its end and gives what it printed. */
export async function middlecut(...args: string[]): Promise<string> {
  const { stdout } = await run(binary(), args, { maxBuffer: 64 * 1024 * 1024 })
  return stdout
}

export class Server {
  #child: ChildProcess | null = null
  address = ''
  port = 0
  constructor(readonly data: string) {}

  /** Starts the program and waits for its first line, the address. */
  async start(port = 0, more: string[] = []): Promise<void> {
    const child = spawn(binary(), ['serve', '--port', String(port), '--no-open', '--data', this.data, ...more], { stdio: ['ignore', 'pipe', 'pipe'] })
    this.#child = child
    const stderr: string[] = []
    child.stderr.on('data', (chunk: Buffer) => { stderr.push(chunk.toString()); if (stderr.length > 200) stderr.shift() })
    const first = await new Promise<string>((resolve, reject) => {
      createInterface({ input: child.stdout }).once('line', resolve)
      child.once('exit', (code) => reject(new Error(`the server ended with ${code}: ${stderr.join('')}`)))
      setTimeout(() => reject(new Error(`no address after 20 s: ${stderr.join('')}`)), 20_000).unref()
    })
    const address = /http:\/\/[^\s/]+/.exec(first)?.[0]
    if (!address) throw new Error(`the first line is no address: ${first}`)
    this.address = address
    this.port = Number(new URL(address).port)
  }

  async stop(signal: NodeJS.Signals = 'SIGTERM'): Promise<void> {
    const child = this.#child
    this.#child = null
    if (!child || child.exitCode !== null) return
    const over = new Promise<void>((resolve) => child.once('exit', () => resolve()))
    child.kill(signal)
    const hard = setTimeout(() => child.kill('SIGKILL'), 5000)
    await over
    clearTimeout(hard)
  }
}

export const test = base.extend<{ server: Server; site: Page }>({
  server: async ({}, use) => {
    const data = await mkdtemp(join(tmpdir(), 'middlecut-e2e-'))
    const server = new Server(data)
    await server.start()
    await use(server)
    await server.stop()
    await rm(data, { recursive: true, force: true })
  },
  /** The first page, with every script error failing the test. */
  site: async ({ page, server }, use) => {
    const errors: string[] = []
    if (process.env.MIDDLECUT_PAGE) await freshPage(page, process.env.MIDDLECUT_PAGE)
    page.on('pageerror', (error) => errors.push(error.message))
    await page.goto(server.address)
    await use(page)
    expect(errors).toEqual([])
  },
})

/** Serves the page from a folder instead of the program's own copy: a fresh build needs no new program. */
async function freshPage(page: Page, folder: string): Promise<void> {
  await page.route((address) => !address.pathname.startsWith('/api/'), async (route) => {
    const path = new URL(route.request().url()).pathname
    await route.fulfill({ path: join(folder, path === '/' ? 'index.html' : path) })
  })
}

/** Opens the example house on its plan. */
export async function openExample(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'Try the example' }).click()
  await expect(page.getByRole('heading', { level: 1 })).toContainText('of hearts')
}

/** Goes to a page by the menu, which a phone hides behind one key. */
export async function goTo(page: Page, place: string): Promise<void> {
  const link = page.getByRole('link', { name: place, exact: true })
  const more = page.getByRole('button', { name: 'Go to' })
  if (!(await link.isVisible()) && (await more.isVisible())) await more.click()
  await link.click()
}

/** Starts a rehearsal of the open plan at a speed. */
export async function rehearse(page: Page, speed: string, attended = true): Promise<void> {
  await page.locator('label', { hasText: `${speed}×` }).first().click()
  const box = page.getByRole('checkbox', { name: /stand-in/ })
  if ((await box.isChecked()) !== attended) await box.click()
  await page.getByRole('button', { name: 'Rehearse this plan' }).click()
  await expect(page.getByRole('group', { name: 'Rehearsal speed' })).toBeVisible()
}

export async function speed(page: Page, name: string): Promise<void> {
  await page.getByRole('group', { name: 'Rehearsal speed' }).getByRole('button', { name, exact: true }).click()
}

export async function narrowEnough(page: Page): Promise<void> {
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth)
  expect(wide, 'the page is wider than the screen').toBeLessThanOrEqual(0)
}

/** All that the colours of a page can break; the dark changes nothing else. */
const OF_COLOUR = { type: 'rule', values: ['color-contrast', 'link-in-text-block'] }
const WCAG_AA = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']

/** Nothing wider than the screen, no rule of WCAG 2.2 AA broken; once more in the dark, of the colours alone. */
export async function sound(page: Page, runOnly: string[] | typeof OF_COLOUR = WCAG_AA): Promise<void> {
  await narrowEnough(page)
  if (!(await page.evaluate(() => 'axe' in window))) await page.evaluate(await readFile(axePath, 'utf8'))
  // At the end of the page the keys at the foot cover nothing.
  const y = await page.evaluate(() => { const at = scrollY; scrollTo(0, document.documentElement.scrollHeight); return at })
  const broken = await page.evaluate(async (rules) => {
    const axe = (window as unknown as { axe: { run(root: Document, options: object): Promise<{ violations: { id: string; nodes: { html: string; failureSummary: string }[] }[] }> } }).axe
    const result = await axe.run(document, { runOnly: rules, resultTypes: ['violations'], preload: false })
    return result.violations.map((rule) => `${rule.id}: ${rule.nodes.slice(0, 3).map((node) => `${node.html.slice(0, 140)} ${node.failureSummary.slice(0, 200)}`).join(' | ')}`)
  }, runOnly)
  await page.evaluate((top) => scrollTo(0, top), y)
  expect(broken).toEqual([])
}

/** The colours alone, as they are now. */
export const colours = (page: Page): Promise<void> => sound(page, OF_COLOUR)

/** Whether pictures are taken, to be looked at (`cargo xtask screens`); else the looks are only tried. */
const PICTURES = process.env.MIDDLECUT_LOOKS === 'all'

/** A phone in the hand; a test that is grouped under the name `phone` uses it. */
export const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 }
export const TABLET = { ...PHONE, viewport: { width: 820, height: 1180 } }

export async function picture(page: Page, info: TestInfo, name: string, whole = false): Promise<void> {
  if (!PICTURES) return
  if (!whole) await page.evaluate(() => scrollTo(0, 0))
  const look = info.titlePath.includes('phone') ? 'phone' : 'desktop'
  await page.screenshot({ path: join('test-results', 'screens', `${look}-${name}.png`), fullPage: whole })
}

/** The printed sheet of the open run: its words, and that it is one page. The page stays where it is. */
export async function sheet(page: Page, info: TestInfo, name: string): Promise<string> {
  const other = await page.context().newPage()
  await other.goto(`${new URL(page.url()).origin}/api/runs/${runId(page)}/sheet`)
  const pages = (await other.pdf({ preferCSSPageSize: true })).toString('latin1').match(/\/Type\s*\/Page\b/g) ?? []
  expect(pages.length, 'pages of the sheet').toBe(1)
  const over = await other.evaluate(() => { const { scrollHeight, clientHeight } = document.body; return scrollHeight - clientHeight })
  expect(over, 'words beyond the page').toBeLessThanOrEqual(0)
  if (PICTURES) {
    await other.setViewportSize({ width: 794, height: 1123 })
    await other.emulateMedia({ media: 'print' })
    await picture(other, info, name, true)
  }
  const words = await other.locator('body').innerText()
  await other.close()
  return words
}

/** What a test lays over all that the page hears to be known, by its own keys; null lays nothing. */
export type Over = Record<string, unknown> | null

/** Makes the page take what is laid over what is known; call before the run opens. Runs inside the page. */
export async function layable(page: Page): Promise<void> {
  await page.addInitScript(() => {
    const look = (value: unknown): unknown => {
      const known = (value as { knowledge?: { time_s?: number } } | null)?.knowledge
      if (known && typeof known.time_s === 'number') Object.assign(known, parse(sessionStorage.getItem('over') ?? '{}'))
      return value
    }
    const parse = JSON.parse.bind(JSON)
    JSON.parse = ((text: string) => look(parse(text))) as typeof JSON.parse
    const json = Response.prototype.json
    Response.prototype.json = async function (this: Response) { return look(await json.call(this)) }
  })
  await page.reload()
}

export async function lay(page: Page, over: Over): Promise<void> {
  await page.evaluate((text) => sessionStorage.setItem('over', text), JSON.stringify(over ?? {}))
}

/** Keeps hold of the feeds of the page, so that they can be broken; call before the run opens. */
export async function breakable(page: Page): Promise<void> {
  await page.addInitScript(() => {
    const feeds: EventSource[] = []
    const Feed = EventSource
    window.EventSource = class extends Feed { constructor(...to: ConstructorParameters<typeof Feed>) { super(...to); feeds.push(this) } }
    window.addEventListener('break-feed', () => { for (const feed of feeds) feed.dispatchEvent(new Event('error')) })
  })
  await page.reload()
}

export const breakFeed = (page: Page): Promise<unknown> => page.evaluate(() => window.dispatchEvent(new Event('break-feed')))

/** One prompt or alarm, as the server tells it. */
export const event = (part: Record<string, unknown>): Record<string, unknown> => ({ time_s: 0, kind: 'prompt', code: 'slow_phase', priority: 'high', text: '', how_sure: '', do: '', within_s: 120, ...part })

export const runId = (page: Page): string => page.url().split('/run/')[1] ?? ''

/** What the program says of the run that is open, as any device hears it. */
export interface Told {
  started_ms: number
  title: string
  abandoned: string | null
  checks: { ticked: string[]; by: string | null } | null
  knowledge: {
    time_s: number; state: string; rise: { kelvin: number } | null; strength_now: object | null; hearts_to_come_l: object | null; end: object | null
    jars: { number: number; status: string; volume_ml: number; measured: boolean; strength_vol: number | null }[]
    alarms: { code: string }[]
    instruction: { now: boolean; act: { do: string; step: number; after: number; l_per_min: number } | null } | null
    drawn: { litres: { at: { p50: number } } } | null
    account: Record<'charged_l' | 'drawn_l' | 'held_l' | 'lost_l' | 'left_l', { p50: number }>
  }
  actions: { action: string; value: number | null; time_s: number; note: string; entry: number }[]
  events: { time_s: number; kind: string; code: string; text: string }[]
  readings: { time_s: number[]; rise_k: (number | null)[] }
}
export async function told(page: Page): Promise<Told> {
  return (await (await asked(page, 'GET', `/api/runs/${runId(page)}`)).json()) as Told
}

/** Asks the program of a page, as another device at the computer itself; where one must be let in, the page asks, which was. */
export async function asked(page: Page, method: string, path: string, data?: object): Promise<Response> {
  const address = `${new URL(page.url()).origin}${path}`
  const body = data === undefined ? null : JSON.stringify(data)
  if (HERE.test(address)) {
    // Asked for many times a second in one machine: packing it would cost more than sending it, and
    // so would the browser's own way to the server.
    const answer = await fetch(address, { method, body, headers: { 'accept-encoding': 'identity', ...(body === null ? {} : JSON_BODY) } })
    if (answer.status !== NOT_LET_IN) return answer
  }
  const [text, status] = await page.evaluate(async ([path, method, body, headers]) => {
    const answer = await fetch(path, { method, body, headers: body === null ? {} : headers })
    return [await answer.text(), answer.status] as const
  }, [path, method, body, JSON_BODY] as const)
  return new Response(status === 204 ? null : text, { status })
}
const HERE = /^http:\/\/127\.0\.0\.1:/
const NOT_LET_IN = 401
const JSON_BODY = { 'content-type': 'application/json' }

/** How often an attendant looks, ms: each look asks for the whole run. */
const LOOK_MS = 100
/** Run time between two looks at most, s: half of what an attendant may be away. */
const LOOK_S = 240

/** Keeps somebody at the still of an open rehearsal, at a speed of its own, until what is known is so; then it is halted. */
export async function attend(page: Page, rate: number, done: (known: Told['knowledge']) => boolean, act = true): Promise<void> {
  const put = (value: number): Promise<Response> => asked(page, 'PUT', `/api/runs/${runId(page)}/speed`, { speed: value })
  await put(rate)
  const end = Date.now() + 90_000
  let before: number | null = null
  for (let known = (await told(page)).knowledge; !done(known) && Date.now() < end; known = (await told(page)).knowledge) {
    // Nobody attends who looks seldom: on a busy computer the run goes slower.
    if (before !== null && known.time_s - before > LOOK_S && rate > 30) await put(rate /= 2)
    before = known.time_s
    const due = known.instruction?.now ? known.instruction.act : null
    if (due?.do === 'coolant') await elsewhere(page, 'actions', { action: 'coolant', value: due.l_per_min, unit: 'l_per_min' })
    else if (act && due?.do === 'begin') await elsewhere(page, 'begin', { step: due.step, after: due.after })
    else await elsewhere(page, 'actions', { action: 'here' })
    await page.waitForTimeout(LOOK_MS)
  }
  await put(0)
  await elsewhere(page, 'actions', { action: 'here' })
}

/** The whole page as it is, by day and in the dark: sound, and a picture of each. */
export async function lookedAt(page: Page, info: TestInfo, name: string): Promise<void> {
  await sound(page)
  await picture(page, info, name, true)
  await page.emulateMedia({ colorScheme: 'dark' })
  await sound(page, OF_COLOUR)
  await picture(page, info, `${name}-dark`, true)
  await page.emulateMedia({ colorScheme: 'light' })
}

/** 1280 px wide and zoomed to 200 % is 640. */
const LOOKS = [['desk', 1280, 800], ['phone', 390, 844], ['small', 320, 640], ['zoom', 640, 400]] as const

/** Two frames later the page stands as its new size has it. */
export const drawn = (page: Page): Promise<unknown> => page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))))

/** The same page on a desk, on a phone, small and zoomed, by day and in the dark. */
export async function pictures(page: Page, info: TestInfo, name: string, whole = true): Promise<void> {
  const before = page.viewportSize()
  for (const [look, width, height] of LOOKS) {
    if (page.viewportSize()?.width !== width) {
      await page.setViewportSize({ width, height })
      await drawn(page)
    }
    await narrowEnough(page)
    const phone = look === 'phone'
    if (phone) await sound(page)
    await picture(page, info, `${name}-${look}`, whole && look !== 'zoom')
    if (!phone && !(PICTURES && look === 'desk')) continue
    await page.emulateMedia({ colorScheme: 'dark' })
    if (phone) await sound(page, OF_COLOUR)
    await picture(page, info, `${name}-${look}-dark`, whole)
    await page.emulateMedia({ colorScheme: 'light' })
  }
  if (before) await page.setViewportSize(before)
}

/** What the probes of a still in its hearts read, with that much coolant, L/min; the last digit moves, as it does. */
export function heartsRow(coolant_l_per_min: number, row: number): Record<string, number> {
  const digit = (row % 3) / 10
  return { head_c: 78.3 + digit, pot_c: 94 + digit, heater_w: 2200 + row % 2, coolant_in_c: 14 + digit, coolant_out_c: 32 - digit, coolant_l_per_min }
}

type Row = (row: number) => Record<string, number>

/** A feeder beside the test: it never pauses, so that no alarm of lost readings comes between two acts of a slow machine. */
export interface Feeder {
  /** From now on the probes read this. */
  read: (row: Row) => void
  /** Waits until the page's run is so. */
  until: (done: (known: Told['knowledge']) => boolean) => Promise<void>
  stop: () => Promise<void>
}

/** Posts what the probes read, twice a second, until it is stopped or the page closes. */
export function feeder(page: Page, first: Row): Feeder {
  let read = first
  let going = true
  const posts = (async () => {
    for (let post = 0; going && !page.isClosed(); post += 1) {
      await elsewhere(page, 'readings', { rows: [read(post)] })
      await new Promise((done) => setTimeout(done, 500))
    }
  })()
  posts.catch(() => undefined)
  return {
    read: (row) => { read = row },
    until: (done) => expect.poll(async () => done((await told(page)).knowledge), { timeout: FEED_MS }).toBe(true),
    stop: async () => { going = false; await posts },
  }
}
const FEED_MS = 60_000

/** Records something in the open run as another device does. */
export async function elsewhere(page: Page, to: string, data: object): Promise<void> {
  const answer = await asked(page, 'POST', `/api/runs/${runId(page)}/${to}`, data)
  expect(answer.ok, await answer.text()).toBe(true)
}

/** A run of one's own at its check list. */
export async function ownChecks(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'Describe my still' }).click()
  await page.getByLabel('its name').fill('Shed still')
  await page.getByLabel(/heater, W/).fill('500 + 1700')
  await page.getByRole('button', { name: 'Keep this still' }).click()
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Shed still')
  await goTo(page, 'Plan')
  await page.getByRole('button', { name: 'Run this plan' }).click()
  await expect(page.getByRole('heading', { name: /checks left/ })).toBeVisible()
}

/** A run of one's own with the heater on, by the clock on the wall. */
export async function ownRun(page: Page): Promise<void> {
  await ownChecks(page)
  await page.getByRole('button', { name: /^Heater is on/ }).click()
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Heating')
}

/** Whoever was away is back and has seen every alarm. */
export async function allSeen(page: Page): Promise<void> {
  await elsewhere(page, 'actions', { action: 'here' })
  for (const { code } of (await told(page)).knowledge.alarms) await elsewhere(page, 'actions', { action: 'seen', note: code })
}

/** A run of one's own that was begun some time ago and stands in its hearts since 2300 s, by its record. */
export async function ownHearts(page: Page, agoS = 3600): Promise<void> {
  await ownChecks(page)
  await elsewhere(page, 'actions', { action: 'heater', value: 2200, unit: 'W', ago_s: agoS })
  const at = (time_s: number, action: object): Promise<void> => elsewhere(page, 'actions', { ...action, time_s })
  await at(900, { action: 'step', note: 'equalise' })
  await at(900, { action: 'coolant', value: 1.8, unit: 'l_per_min' })
  await at(2100, { action: 'step', note: 'foreshots' })
  await at(2100, { action: 'jar', value: 1 })
  await at(2300, { action: 'step', note: 'hearts' })
  await at(2300, { action: 'jar', value: 2 })
  await allSeen(page)
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Collecting hearts')
}
