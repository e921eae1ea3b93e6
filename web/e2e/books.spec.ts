// The books: the whole chain from a recipe to forty bottles in one browser, with the account closing and the book verified outside.
import { expect, type Page } from '@playwright/test'
import { writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { goTo, middlecut, pictures, sound, test } from './house'

interface Balance { off_l: number; bottles: number; not_explained_l: number; closing_l: number; came: { pure_alcohol_l: number }[]; gone: { place: string; pure_alcohol_l: number }[] }

/** Enters an act by its form: the legs as they stand in it, from top to bottom. */
async function enter(page: Page, kind: string, legs: Record<string, string>[], note = ''): Promise<void> {
  const form = page.getByRole('form', { name: 'New entry' })
  await form.getByLabel('what was done').selectOption(kind)
  const from = legs.filter((leg) => leg.side === 'from').length
  for (let i = 1; i < from; i += 1) await form.getByRole('button', { name: 'from another place too' }).click()
  for (let i = 1; i < legs.length - from; i += 1) await form.getByRole('button', { name: 'to another place' }).click()
  const rows = form.getByRole('group', { name: /^(comes from|goes to)$/ })
  for (const [i, leg] of legs.entries()) {
    const row = rows.nth(i)
    if (leg.kind) await row.getByLabel(leg.side ?? 'to', { exact: true }).selectOption(leg.kind)
    for (const name of ['which lot', 'how much']) if (leg[name]) await row.getByLabel(name, { exact: true }).selectOption(leg[name])
    for (const name of ['vessel', 'lot', 'litres at 20 °C', '% vol at 20 °C', 'bottles', 'mL of one', 'L of pure alcohol']) if (leg[name]) await row.getByLabel(name, { exact: true }).fill(leg[name])
  }
  if (note) await form.getByLabel(/^in words/).fill(note)
  await form.getByRole('button', { name: 'Enter it' }).click()
  await expect(form.getByRole('status')).toContainText(/^Entry \d+ stands/)
}

test('from sugar to forty bottles: the account closes, nothing is rubbed out, and another proves the book', async ({ site: page, server }, info) => {
  test.setTimeout(60_000)
  await page.getByRole('button', { name: 'Describe my still' }).click()
  await page.getByLabel('its name').fill('Shed still')
  await page.getByLabel(/heater, W/).fill('500 + 1700')
  await page.getByRole('button', { name: 'Keep this still' }).click()
  await goTo(page, 'Books')
  await expect(page.getByRole('heading', { level: 1 })).toHaveText('Nothing is entered yet.')
  await page.getByRole('button', { name: 'New entry' }).click()
  await page.getByLabel('entered by').fill('Ada')

  await enter(page, 'ferment', [{ side: 'from', 'litres at 20 °C': '38', '% vol at 20 °C': '11,5' }, { side: 'to', vessel: 'W1', lot: 'W1' }])
  await enter(page, 'charge', [{ side: 'from', 'which lot': 'wash:W1/W1' }, { side: 'to', vessel: 'still', lot: 'R1' }])
  await enter(page, 'distil', [
    { side: 'from', 'which lot': 'pot:still/R1' }, { side: 'to', kind: 'jar', vessel: '3', lot: 'J3', 'how much': 'pure', 'L of pure alcohol': '2.4' }, { side: 'to', kind: 'feints', vessel: 'can', lot: 'F1', 'how much': 'pure', 'L of pure alcohol': '1.2' },
    { side: 'to', kind: 'loss:residue', 'how much': 'pure', 'L of pure alcohol': '0.55' }, { side: 'to', kind: 'loss:foreshots', 'how much': 'pure', 'L of pure alcohol': '0.06' }, { side: 'to', kind: 'not_explained', 'how much': 'rest' },
  ])
  await enter(page, 'blend', [{ side: 'from', 'which lot': 'jar:3/J3' }, { side: 'to', kind: 'tank', vessel: 'T1', lot: 'H0' }])
  for (const step of [1, 2, 3]) await enter(page, 'reduce', [{ side: 'from', kind: 'tank', 'which lot': `tank:T1/H${step - 1}` }, { side: 'to', vessel: 'T1', lot: `H${step}` }, { side: 'to', kind: 'loss:transfer', 'how much': 'pure', 'L of pure alcohol': '0.004' }])
  await enter(page, 'carbon', [{ side: 'from', 'which lot': 'tank:T1/H3' }, { side: 'to', vessel: 'T2', lot: 'H4', 'how much': 'liquid', 'litres at 20 °C': '5.8', '% vol at 20 °C': '40.5' }, { side: 'to', kind: 'loss:carbon', 'how much': 'rest' }])
  await enter(page, 'bottle', [{ side: 'from', 'which lot': 'tank:T2/H4' }, { side: 'to', vessel: 'shelf', lot: 'B1', 'how much': 'bottles', bottles: '40', 'mL of one': '144', '% vol at 20 °C': '40.5' }, { side: 'to', kind: 'loss:bottling', 'how much': 'rest' }])
  await expect(page.getByRole('heading', { level: 1 })).toContainText('reached the bottles')
  await expect(page.locator('.say')).toContainText('is not explained')

  // A wrong bottling is put right by a new entry in its place: both stay, the old one struck through.
  await page.getByText('When, in whose place').click()
  await page.getByLabel('in the place of entry no.').fill('9')
  await enter(page, 'bottle', [{ side: 'from', vessel: 'T2', lot: 'H4', 'how much': 'liquid', 'litres at 20 °C': '5,8', '% vol at 20 °C': '40,5' }, { side: 'to', vessel: 'shelf', lot: 'B1', 'how much': 'bottles', bottles: '40', 'mL of one': '143', '% vol at 20 °C': '40.5' }, { side: 'to', kind: 'loss:bottling', 'how much': 'rest' }], 'each holds 143 mL')
  const entries = page.getByRole('region', { name: 'Entries' })
  await expect(entries.locator('tr', { hasText: 'see 10' }).locator('s').first()).toContainText('40 bottles')

  await page.getByRole('button', { name: 'Stock-take' }).click()
  await page.getByRole('form', { name: 'Stock-take' }).getByLabel('found, pure, L').nth(1).fill('1,19')
  await page.getByRole('button', { name: 'Enter the count' }).click()
  await expect(page.getByText('One count stands.')).toBeVisible()
  const balance = (await (await fetch(`${server.address}/api/book/balance`)).json()) as Balance
  const sum = (parts: { pure_alcohol_l: number }[]): number => parts.reduce((all, { pure_alcohol_l }) => all + pure_alcohol_l, 0)
  expect(balance.bottles).toBe(40)
  expect(Math.abs(sum(balance.came) - sum(balance.gone) - balance.not_explained_l - balance.closing_l)).toBeLessThan(1e-6)

  await page.getByRole('button', { name: 'B1', exact: true }).click()
  await expect(page.getByRole('region', { name: 'Lot B1' })).toContainText('wash W1')
  await page.getByRole('button', { name: 'Digest' }).click()
  const digest = /[0-9a-f]{64}/.exec(await page.getByText(/^Digest of/).innerText())?.[0] ?? ''
  await expect(page.getByText('no legal record')).toBeVisible()
  await pictures(page, info, 'books')
  await sound(page)

  const table = await (await fetch(`${server.address}/api/book/table`)).text()
  await writeFile(join(server.data, 'book.csv'), table)
  const proved = JSON.parse(await middlecut('book', 'verify', join(server.data, 'book.csv'), '--expect', digest, '--json')) as { ok: boolean }
  expect(proved.ok).toBe(true)
})
