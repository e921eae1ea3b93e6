// The chain as a person walks it through the pages: wash, rehearsed run, jars, bench; each act ends in the book.
import { expect, type Locator, type Page } from '@playwright/test'
import { goTo, rehearse } from './house'

const HOUR_MS = 3_600_000
/** Invented: a sugar wash that finishes in ten days. */
const READ: [hours: number, gravity: number, celsius: number][] = [[0.1, 1.067, 24], [24, 1.052, 26], [48, 1.033, 26], [72, 1.015, 25], [96, 1.002, 24], [120, 0.994, 23], [168, 0.988, 22], [216, 0.987, 22], [240, 0.987, 22]]
/** So many of them are typed on the pad. */
const TYPED = 3

/** Types into fields that stand between their keys for less and more. */
async function fill(part: Page | Locator, fields: Record<string, string>): Promise<void> {
  for (const [name, text] of Object.entries(fields)) await part.getByRole('textbox', { name }).fill(text)
}

/** A moment as a field for date and time takes it. */
const local = (ms: number): string => new Date(ms - new Date(ms).getTimezoneOffset() * 60_000).toISOString().slice(0, 16)

/** The yeast went in ten days ago; nine readings since; finished, it goes into the account and into a plan. */
export async function washed(page: Page): Promise<void> {
  const origin = new URL(page.url()).origin
  const start = Math.floor(Date.now() / 60_000) * 60_000 - 241 * HOUR_MS
  await goTo(page, 'Wash')
  await page.getByLabel('name', { exact: true }).fill('Sugar')
  await fill(page, { 'the whole wash, L': '16', 'as bought, kg': '2.9', 'yeast, dry, g': '20' })
  await page.locator('label', { hasText: 'wine' }).click()
  await page.getByLabel('when the yeast went in').fill(local(start))
  await expect(page.getByText(/should end after about/)).toBeVisible()
  await page.getByRole('button', { name: 'The yeast went in then' }).click()
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Sugar')
  const id = page.url().split('/wash/')[1] ?? ''
  for (const [hours, gravity, temperature_c] of READ.slice(0, -TYPED)) {
    const answer = await page.request.post(`${origin}/api/washes/${id}/readings`, { data: { gravity, temperature_c, at_ms: start + hours * HOUR_MS } })
    expect(answer.ok(), await answer.text()).toBe(true)
  }
  const pad = page.getByRole('dialog', { name: 'A reading' })
  const log = page.locator('section', { has: page.getByRole('heading', { name: 'What happened' }) })
  for (const [hours, gravity, celsius] of READ.slice(-TYPED)) {
    await page.getByRole('group', { name: 'Enter' }).getByRole('button', { name: 'Reading' }).click()
    await page.keyboard.type(gravity.toFixed(3))
    await pad.getByRole('button', { name: /^sample at/ }).click()
    await page.keyboard.type(String(celsius))
    await pad.getByLabel('or at').fill(local(start + hours * HOUR_MS))
    await pad.getByLabel('or at').press('Enter')
    await expect(pad).toBeHidden()
  }
  await expect(log.getByText(/^.*gravity 0\.987/)).toHaveCount(2)
  await expect(page.getByRole('heading', { level: 1 })).toHaveText('Sugar is most likely finished.')
  await page.getByLabel('who enters it in the account').fill('Ada')
  await page.getByRole('button', { name: 'Enter it, and plan its run' }).click()
  await expect(page.getByRole('heading', { level: 1 })).toContainText('of hearts')
}

/** The plan is rehearsed to its end as fast as it goes, and its jars are gauged. */
export async function rehearsed(page: Page): Promise<void> {
  await rehearse(page, '2000')
  const speed = page.getByLabel('Other speed')
  await speed.fill('10000')
  await speed.press('Enter')
  await expect(page.getByRole('heading', { level: 1 })).toHaveText('The run is over.', { timeout: 45_000 })
}

/** The run, which is the newest, is taken into the book from the wash it was planned from. */
export async function takenIn(page: Page): Promise<void> {
  await goTo(page, 'Books')
  await page.getByRole('button', { name: 'Take a run in' }).click()
  const form = page.getByRole('form', { name: 'Take a run in' })
  await expect(form.getByLabel('charged from')).toHaveValue(/^wash:wash-/)
  await form.getByLabel('money for a kWh').fill('0,3')
  await form.getByRole('button', { name: 'Take it in' }).click()
  await expect(form.getByRole('status')).toHaveText('Entries 2 and 3 stand: the charge, the jars and where the rest went.', { timeout: 30_000 })
}

/** Looks at what would be entered of a part of a page, and enters it. */
async function entered(part: Locator, fields: Record<string, string>): Promise<void> {
  for (const [label, text] of Object.entries(fields)) await part.getByLabel(label).fill(text)
  await part.getByRole('button', { name: 'Look at the entries' }).click()
  await expect(part.getByRole('status')).toContainText('This would be entered:')
  await part.getByRole('button', { name: /^Enter (it|them)\b/ }).click()
  await expect(part.getByRole('status')).toContainText('Entered in the book.')
}

/** The jars of the hearts become the lot H-0 in the tank T1; on to the bench with it. */
export async function mixed(page: Page): Promise<void> {
  await goTo(page, 'Jars')
  const mix = page.getByRole('region', { name: 'Mix as a lot' })
  await mix.getByRole('button', { name: /^Enter the .* in the book$/ }).click()
  await entered(mix, { 'comes to': 'tank:T1/H-0' })
  await mix.getByRole('link', { name: 'On to the bench with it' }).click()
}

/** Three steps of water, carbon, forty bottles; the lot and its figures come from the book each time. */
export async function finished(page: Page): Promise<void> {
  const part = (name: string): Locator => page.locator('section', { has: page.getByRole('heading', { level: 2, name, exact: true }) })
  const steps = part('In steps')
  for (const step of [1, 2, 3]) {
    const gauged = steps.getByLabel(`gauged after step ${step}, % vol`)
    // The last gauge finds less than was reckoned: what hose and funnel kept.
    await gauged.fill(String(Number(await gauged.inputValue()) - (step === 3 ? 0.5 : 0)))
    await expect(steps.locator('tr.done')).toHaveCount(step)
  }
  await begun(steps, 'tank:T1/H-0')
  await entered(steps, { 'comes to': 'tank:T1/H-3', 'a loss is put down to': 'loss:transfer' })

  const carbon = part('Carbon')
  await begun(carbon, 'tank:T1/H-3')
  await carbon.getByRole('button', { name: /^Reckon with its .* at 39\.5 % vol$/ }).click()
  await fill(carbon, { 'bed, inner width, mm': '20', 'height of carbon, m': '0.3', 'runs through at, L/h': '0.2', 'water after it, L': '0.1' })
  await entered(carbon, { 'comes to': 'tank:T2/H-4' })

  const bottle = part('Bottle')
  await bottle.getByRole('button', { name: /^Enter the .* in the book$/ }).click()
  await expect(bottle.getByText('Count the bottles first')).toBeVisible()
  await fill(bottle, { 'bottles counted': '40' })
  await expect(bottle.getByLabel('stands in the book at')).toHaveValue('tank:T2/H-4')
  await bottle.getByRole('button', { name: /^Reckon with its / }).click()
  const tank = Number(await bottle.getByRole('textbox', { name: 'in the tank' }).inputValue())
  await fill(bottle, { 'bottle, mL': String(Math.floor((1000 * tank) / 40 - 0.5)) })
  await entered(bottle, { 'comes to': 'bottles:shelf/B-1', 'a loss is put down to': 'loss:bottling' })
}

/** The way into the book is opened; the lot that is worked on stands there already. */
async function begun(part: Locator, stand: string): Promise<void> {
  await part.getByRole('button', { name: /^Enter the .* in the book$/ }).click()
  await expect(part.getByLabel('stands in the book at')).toHaveValue(stand)
}
