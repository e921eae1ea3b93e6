// The books: the whole chain from a recipe to forty bottles in one browser, with the account closing and the book verified outside.
import { expect } from '@playwright/test'
import { join } from 'node:path'
import { finished, mixed, rehearsed, takenIn, washed } from './chain'
import { goTo, middlecut, pictures, sound, test, type Server } from './house'

interface Balance { off_l: number; bottles: number; not_explained_l: number; closing_l: number; came: { place: string; pure_alcohol_l: number }[]; gone: { place: string; pure_alcohol_l: number }[] }
interface Entry { serial: number; to: { bottle_ml: number | null }[] }

const asked = async <T>(server: Server, what: string): Promise<T> => (await (await fetch(`${server.address}/api/book/${what}`)).json()) as T

test('from sugar to forty bottles: the account closes, nothing is rubbed out, and another proves the book', async ({ site: page, server }, info) => {
  test.setTimeout(90_000)
  await page.getByRole('button', { name: 'Describe my still' }).click()
  await page.getByLabel('its name').fill('Shed still')
  await page.locator('label', { hasText: 'pot' }).first().click()
  await page.getByLabel(/heater, W/).fill('500 + 1700')
  await page.getByRole('button', { name: 'Keep this still' }).click()
  await goTo(page, 'Books')
  await expect(page.getByRole('heading', { level: 1 })).toHaveText('Nothing is entered yet.')

  await washed(page)
  await rehearsed(page)
  await takenIn(page)
  await mixed(page)
  await finished(page)
  await goTo(page, 'Books')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('reached the bottles')
  const entries = page.getByRole('region', { name: 'Entries' })
  await entries.getByText(/^Distilled/).click()
  await expect(entries).toContainText('a rehearsal: nothing was distilled')

  // A wrong bottling is put right from the entry itself, its form filled with what it said: both
  // stay, the old one struck through.
  const { serial, to } = (await asked<Entry[]>(server, 'entries')).at(-1) as Entry
  await entries.locator('tr', { hasText: '40 bottles' }).locator('summary').click()
  await entries.getByRole('button', { name: `Correct entry ${serial}` }).press('Enter')
  const form = page.getByRole('form', { name: `In the place of entry ${serial}` })
  await expect(form).toBeFocused()
  await expect(form.getByLabel('in the place of entry no.')).toHaveValue(String(serial))
  await expect(form.getByLabel('bottles', { exact: true })).toHaveValue('40')
  await expect(form.getByRole('group', { name: 'comes from' }).getByLabel('lot', { exact: true })).toHaveValue('H-4')
  await form.getByLabel('mL of one').fill(String(Number(to[0]?.bottle_ml) - 1))
  await pictures(page, info, 'books-correct')
  await form.getByRole('button', { name: 'Enter it' }).click()
  await expect(form.getByRole('alert'), 'a correction says why').toContainText('must say why')
  await form.getByLabel(/^in words/).fill('each holds 1 mL less')
  await form.getByRole('button', { name: 'Enter it' }).click()
  await expect(form.getByRole('status')).toContainText(`Entry ${serial + 1} stands`)
  await expect(entries.locator('tr', { hasText: `see ${serial + 1}` }).locator('s').first()).toContainText('40 bottles')

  await page.getByRole('button', { name: 'Stock-take' }).click()
  const stand = await asked<{ place: string; pure_alcohol_l: number }[]>(server, 'lots')
  const feints = stand.findIndex(({ place }) => place.startsWith('feints:'))
  await page.getByRole('form', { name: 'Stock-take' }).getByLabel('found, pure, L').nth(feints).fill((Number(stand[feints]?.pure_alcohol_l) - 0.01).toFixed(3))
  await page.getByRole('button', { name: 'Enter the count' }).click()
  await expect(page.getByText('One count stands.')).toBeVisible()
  await expect(page.locator('.say')).toContainText('is not explained')
  // A count that was read wrongly is counted again from its own entry, against the book without it.
  const count = (await asked<Entry[]>(server, 'entries')).at(-1) as Entry
  await entries.locator('summary', { hasText: 'Counted' }).click()
  await entries.getByRole('button', { name: `Correct entry ${count.serial}` }).click()
  const again = page.getByRole('form', { name: `In the place of entry ${count.serial}` })
  await again.getByLabel('found, pure, L').fill((Number(stand[feints]?.pure_alcohol_l) - 0.005).toFixed(3))
  await again.getByLabel('why it was wrong').fill('the other jug')
  await pictures(page, info, 'books-count-again')
  await again.getByRole('button', { name: 'Enter the count' }).click()
  await expect(again.getByRole('status')).toHaveText('One count stands.')
  await expect(entries.locator('tr', { hasText: `see ${count.serial + 1}` })).toContainText('Counted')
  const balance = await asked<Balance>(server, 'balance')
  const sum = (parts: { pure_alcohol_l: number }[]): number => parts.reduce((all, { pure_alcohol_l }) => all + pure_alcohol_l, 0)
  expect(balance.bottles).toBe(40)
  expect(balance.off_l).toBe(0)
  expect(Math.abs(sum(balance.came) - sum(balance.gone) - balance.not_explained_l - balance.closing_l)).toBeLessThan(1e-6)
  expect(balance.came.map(({ place }) => place), 'all of it came from the wash').toEqual(['fermented'])
  expect(balance.gone.map(({ place }) => place)).toEqual(['loss:bottling', 'loss:carbon', 'loss:residue', 'loss:transfer', 'loss:vapour'])

  await page.getByRole('button', { name: 'B-1', exact: true }).click()
  await expect(page.getByRole('region', { name: 'Lot B-1' })).toContainText('wash, wash-')
  await page.getByRole('button', { name: 'Close a period' }).click()
  const closing = page.getByRole('form', { name: 'Close a period' })
  await closing.getByLabel(/^up to the end of the month/).fill(new Date().toISOString())
  await closing.getByRole('button', { name: 'Close it for good' }).click()
  await expect(closing.getByRole('status')).toContainText('Closed up to')
  const late = await page.request.post(`${server.address}/api/book/entries`, { data: { kind: 'lose', from: ['bottles:shelf/B-1=0.1'], to: ['loss:breakage=rest'], note: 'dropped', by: 'Ada', act: new Date(Date.now() - 60_000).toISOString() } })
  expect(late.ok(), 'the period is closed').toBe(false)
  await page.getByRole('button', { name: 'Digest' }).click()
  const digest = /[0-9a-f]{64}/.exec(await page.getByText(/^Digest of/).innerText())?.[0] ?? ''
  await expect(page.getByText('no legal record')).toBeVisible()
  await pictures(page, info, 'books')
  await sound(page)

  const download = page.waitForEvent('download')
  await page.getByRole('link', { name: 'Take the table' }).click()
  const table = join(server.data, 'book.csv')
  await (await download).saveAs(table)
  const proved = JSON.parse(await middlecut('book', 'verify', table, '--expect', digest, '--json')) as { ok: boolean }
  expect(proved.ok).toBe(true)
})
