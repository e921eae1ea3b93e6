// Phones and tablets that come by an address: let in by a code, two at once, an alarm that is heard, a stream that is dropped.
import { expect, type Browser, type Page } from '@playwright/test'
import { connect, createServer, type AddressInfo, type Server as NetServer, type Socket } from 'node:net'
import { asked, attend, elsewhere, middlecut, openExample, PHONE, rehearse, runId, TABLET, type Server, told } from './house'
import { LONG } from './measures'

/** What stands in the hand. */
export const DEVICES = { phone: PHONE, tablet: TABLET } as const
export type Device = keyof typeof DEVICES

/** By which a server that takes nobody for somebody at the computer itself was started: a code is then needed at every address. */
export const CODES_EVERYWHERE = ['--host', 'still.local', '--host', 'six.local', '--proxy', 'http://still.example']

/** A device of its own, to be let in. */
export async function device(browser: Browser, kind: Device): Promise<Page> {
  const context = await browser.newContext({ ...DEVICES[kind], reducedMotion: 'reduce' })
  const page = await context.newPage()
  await listening(page)
  return page
}

/** The air between a device and the server: what goes through it can be cut, or vanish without a word. */
export class Air {
  #pairs: [Socket, Socket][] = []
  #state: 'clear' | 'cut' | 'still' = 'clear'
  #door: NetServer
  private constructor(address: string, to: number) {
    this.#door = createServer((near) => {
      if (this.#state === 'cut') return void near.destroy()
      const far = connect(to, address)
      this.#pairs.push([near, far])
      for (const [one, other] of [[near, far], [far, near]] as const) {
        one.on('error', () => other.destroy()).on('close', () => other.destroy())
        one.on('data', (piece) => void (this.#state === 'clear' ? other.write(piece) : null))
      }
    })
  }
  /** Listens where the host name leads, and passes on to the server at that address. */
  static async before(host: string, to: number): Promise<Air> {
    const address = host === 'still.local' ? '127.0.0.1' : host === 'six.local' ? '::1' : host.replace(/[[\]]/g, '')
    const air = new Air(address, to)
    await new Promise<void>((done) => air.#door.listen(0, address, done))
    return air
  }
  get port(): number { return (this.#door.address() as AddressInfo).port }
  /** Every connection ends and none begins. */
  cut(): void { this.#state = 'cut'; this.#end() }
  /** Connections stay and begin; nothing comes through them any more, as where a phone leaves the reach of its network. */
  silence(): void { this.#state = 'still' }
  /** It goes on with new connections: what was lost in those of before is lost. */
  clear(): void { this.#end(); this.#state = 'clear' }
  close(): void { this.#end(); this.#door.close() }
  #end(): void { for (const pair of this.#pairs.splice(0)) for (const socket of pair) socket.destroy() }
}

/** A code, as the terminal tells it. */
export async function code(server: Server, ...more: string[]): Promise<string> {
  return (JSON.parse(await middlecut('access', 'code', '--json', '--data', server.data, ...more)) as { code: string }).code
}

export async function letIn(page: Page, at: string, told: string, name: string): Promise<void> {
  await page.goto(`${at}/pair#${told}`)
  await expect.poll(() => new URL(page.url()).hash, 'the code is out of the address').toBe('')
  await page.getByLabel(/What this browser is called/).fill(name)
  await page.getByRole('button', { name: 'Let me in' }).click()
  await expect(page.getByRole('button', { name: 'Try the example' })).toBeVisible()
}

/** Asks from within a page, as a script of it could, and gives how it was answered. */
export const status = async (page: Page, method: string, path: string, body: object): Promise<number> => page.evaluate(async ([method, path, body]) => {
  const headers = { 'content-type': 'application/json' }
  return (await fetch(path, { method, headers, body })).status
}, [method, path, JSON.stringify(body)] as const)

/** A device is let in by a code of its own after a wrong one; gives the code, used now. */
export async function pairing(page: Page, at: string, server: Server, name: string): Promise<string> {
  await page.goto(at)
  await expect(page.getByRole('heading', { name: 'Let this browser in' })).toBeVisible()
  await page.getByLabel('Code').fill('0000-0000-0000-0000')
  await page.getByRole('button', { name: 'Let me in' }).click()
  await expect(page.getByRole('status')).toContainText('wrong')
  const used = await code(server)
  await letIn(page, at, used, name)
  expect(await page.evaluate(() => document.cookie), 'no script sees the session').toBe('')
  expect(await status(page, 'POST', '/api/access/pair', { code: used }), 'a code is used once').toBe(403)
  return used
}

/** What the speaker of a page is given, from its opening on. Runs inside the page. */
async function listening(page: Page): Promise<void> {
  await page.addInitScript(() => {
    const ear = { pulses: [] as { hertz: number; at: number }[], loudest: 0 }
    Object.assign(window, { ear })
    const connect = AudioNode.prototype.connect as (this: AudioNode, to: AudioNode) => AudioNode
    let analyser: AnalyserNode | null = null
    const hear = (): void => {
      if (!analyser) return
      const samples = new Float32Array(analyser.fftSize)
      analyser.getFloatTimeDomainData(samples)
      ear.loudest = samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0)
    }
    Object.assign(AudioNode.prototype, {
      connect(this: AudioNode, to: AudioNode) {
        if (to instanceof AudioDestinationNode) {
          if (!analyser) {
            analyser = to.context.createAnalyser()
            analyser.fftSize = 32_768
            setInterval(hear, 100)
          }
          connect.call(this, analyser)
        }
        return connect.call(this, to)
      },
    })
    const start = Object.getOwnPropertyDescriptor(OscillatorNode.prototype, 'start') ?? Object.getOwnPropertyDescriptor(AudioScheduledSourceNode.prototype, 'start')
    Object.assign(OscillatorNode.prototype, {
      start(this: OscillatorNode, when?: number) {
        ear.pulses.push({ hertz: this.frequency.value, at: performance.now() })
        ;(start?.value as (this: OscillatorNode, when?: number) => void).call(this, when)
      },
    })
  })
}

interface Ear { pulses: { hertz: number; at: number }[]; loudest: number }
const ear = (page: Page): Promise<Ear> => page.evaluate(() => (window as unknown as { ear: Ear }).ear)

/** What the page plays reaches the speaker. */
export const heard = (page: Page): Promise<void> => expect.poll(async () => (await ear(page)).loudest, { message: 'something is heard' }).toBeGreaterThan(0.05)

/** A rehearsal without a stand-in whose heater is on, seen by both. */
export async function both(one: Page, two: Page, twoAt: string, pace = 10): Promise<void> {
  await openExample(one)
  await rehearse(one, '10', false)
  await one.getByRole('button', { name: /^Heater is on/ }).tap()
  await attend(one, 400, ({ state }) => state === 'heating')
  await asked(one, 'PUT', `/api/runs/${runId(one)}/speed`, { speed: pace })
  await two.goto(`${twoAt}/${new URL(one.url()).hash}`)
  for (const page of [one, two]) await expect(page.getByRole('heading', { level: 1 })).toContainText('Heating')
}

/** A second, and another where many tests share two cores. */
const SHOWN_MS = LONG ? 1000 : 2000

const happened = (page: Page) => page.getByRole('region', { name: 'What happened' })

/** What one records the other shows within a second; acts that cross are both kept. Gives how long it took, ms. */
export async function twoAtOnce(one: Page, two: Page): Promise<string> {
  const jar = two.getByRole('button', { name: /^New jar/ })
  await one.getByRole('button', { name: /^New jar/ }).tap()
  const pressed = Date.now()
  await expect(jar).toContainText('1 → 2', { timeout: SHOWN_MS })
  const shown = Date.now() - pressed
  await Promise.all([
    elsewhere(one, 'actions', { action: 'coolant', value: 1.7, unit: 'l_per_min' }),
    elsewhere(two, 'actions', { action: 'coolant', value: 1.9, unit: 'l_per_min' }),
  ])
  for (const page of [one, two]) {
    for (const rate of ['1.7', '1.9']) await expect(happened(page).getByText(`Coolant changed to ${rate} L/min`)).toBeAttached({ timeout: 1500 })
  }
  return `shown to the other after ${shown} ms; two acts that crossed stand in both`
}

/** An alarm of the engine, nobody having answered; before a tap it cannot sound and says so, after it it is heard. */
export async function alarmHeard(page: Page): Promise<string> {
  await page.reload()
  const arm = page.getByRole('button', { name: /sound not armed/ })
  await expect(arm, 'it says that it cannot sound').toBeVisible()
  expect((await ear(page)).pulses, 'nothing was played').toEqual([])
  await arm.tap()
  await expect(page.getByText('sound armed')).toBeVisible()
  await heard(page)
  const tested = (await ear(page)).pulses.length
  expect(tested, 'a prompt and each priority').toBe(9)
  await asked(page, 'PUT', `/api/runs/${runId(page)}/speed`, { speed: 1000 })
  await expect.poll(async () => (await told(page)).knowledge.alarms.length, { timeout: 20_000 }).toBeGreaterThan(0)
  await asked(page, 'PUT', `/api/runs/${runId(page)}/speed`, { speed: 1 })
  await expect(page.getByRole('alert').first()).toBeVisible()
  // The self-test takes five seconds; the alarm sounds on after it.
  await expect.poll(async () => (await ear(page)).pulses.length, { timeout: 15_000 }).toBeGreaterThan(tested)
  await page.waitForTimeout(4500)
  await expect.poll(async () => (await ear(page)).loudest, { timeout: 15_000, intervals: [100] }).toBeGreaterThan(0.1)
  const { pulses, loudest } = await ear(page)
  await page.getByRole('alert').getByRole('button', { name: 'Seen' }).first().tap()
  await expect.poll(async () => (await told(page)).knowledge.alarms.length + (await ear(page)).pulses.length).toBeGreaterThan(0)
  return `silent and said so before the tap; then pulses of ${[...new Set(pulses.slice(tested).map(({ hertz }) => Math.round(hertz)))].join(', ')} Hz, peak ${loudest.toFixed(2)} of full scale`
}

/** The network of one device is gone for some seconds while the other records; it says so, and lacks nothing afterwards. */
export async function dropped(one: Page, air: Air, how: 'cut' | 'silence', two: Page, note: string, awayMs = 5000): Promise<string> {
  air[how]()
  const gone = Date.now()
  await expect(one.getByRole('heading', { name: 'The page has lost Middlecut.' })).toBeVisible({ timeout: 30_000 })
  const noticed = (Date.now() - gone) / 1000
  if (LONG) expect(noticed, 'an old number is live for no more than ten seconds, and one of a busy machine').toBeLessThan(11)
  await expect(one.getByLabel('Age of readings')).toContainText('nothing known since')
  await elsewhere(two, 'actions', { action: 'note', note })
  await expect(happened(two)).toContainText(note, { ignoreCase: true })
  await one.waitForTimeout(awayMs)
  await expect(happened(one)).not.toContainText(note, { ignoreCase: true })
  air.clear()
  const said = one.getByText(/^Back after \d+ (s|min) without a connection\./)
  await expect(said).toBeVisible({ timeout: 15_000 })
  const back = ((await said.textContent()) ?? '').trim()
  await expect(happened(one)).toContainText(note, { ignoreCase: true })
  // Rows of readings are told when something else is: how many stand there is no matter of the stream.
  const words = (page: Page): Promise<string[]> => happened(page).locator('li').evaluateAll((lines) => lines.map((line) => (line.textContent ?? '').trim()).filter((text) => !/rows? of readings|Readings and presence/.test(text)))
  await expect.poll(async () => JSON.stringify(await words(one)) === JSON.stringify(await words(two)), { message: 'both logs are the same' }).toBe(true)
  return `said after ${noticed.toFixed(1)} s. ${back} Both logs the same, ${(await words(one)).length} lines.`
}
