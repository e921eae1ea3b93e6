// Hands at the still: a far view and a pad under an alarm, a run that stands still, digits of the keyboard.
import { expect, type Page } from '@playwright/test'
import { allSeen, elsewhere, feeder, heartsRow, lay, layable, openExample, ownHearts, picture, pictures, rehearse, sound, test, told, type Told } from './house'

interface Sent { action: string; note?: string | null; ago_s?: number | null; value?: number | null }

/** Every act that leaves the page, answered as taken. */
async function caught(page: Page): Promise<Sent[]> {
  const sent: Sent[] = []
  await page.route('**/api/runs/*/actions', async (route) => {
    sent.push(route.request().postDataJSON() as Sent)
    await route.fulfill({ json: { entry: 1000 + sent.length } })
  })
  return sent
}

test('the coolant is lost behind a far view and behind a pad: the alarm of the engine comes before both @phone', async ({ site: page }, info) => {
  test.setTimeout(120_000)
  await ownHearts(page)
  const upto = Math.floor((await told(page)).knowledge.time_s)
  const rows = Array.from({ length: Math.floor((upto - 900) / 5) }, (_, i) => ({ time_s: 900 + i * 5, ...heartsRow(1.8, i) }))
  await elsewhere(page, 'readings', { rows })
  const stands = (code: string) => (known: Told['knowledge']): boolean => known.alarms.some((alarm) => alarm.code === code)
  const probes = feeder(page, (row) => heartsRow(1.8, row))
  await probes.until((known) => known.time_s > upto + 3)
  await allSeen(page)
  await page.locator('h1 button').click()
  await expect(page.getByRole('dialog', { name: 'Far view' })).toBeVisible()
  await pictures(page, info, 'far-own', false)
  probes.read((row) => heartsRow(0, row))
  await probes.until(stands('coolant_loss'))
  const alarm = page.getByRole('heading', { name: /coolant/i })
  await expect(alarm).toBeFocused()
  await expect(page.getByRole('dialog')).toHaveCount(0)
  await pictures(page, info, 'alarm', false)
  await page.keyboard.press('f')
  await expect(page.getByRole('dialog')).toHaveCount(0)
  // A pad may be opened under an alarm that stands; it tells the alarm itself, until somebody has seen it elsewhere.
  await page.getByRole('button', { name: /^Heater/ }).click()
  const pad = page.getByRole('dialog', { name: /Heater/ })
  await expect(pad.getByRole('alert')).toContainText(/coolant/i)
  await elsewhere(page, 'actions', { action: 'seen', note: 'coolant_loss' })
  await expect(pad.getByRole('alert')).toHaveCount(0)
  await page.keyboard.press('Escape')
  // The thermometer of the head comes off under an open pad.
  const note = page.getByRole('button', { name: /^Note/ })
  await expect(note).toHaveAttribute('aria-disabled', 'false')
  await note.click()
  await expect(page.getByRole('dialog', { name: 'Note' })).toBeVisible()
  probes.read((row) => ({ ...heartsRow(0, row), head_c: 21 + (row % 3) / 10 }))
  await probes.until(stands('data_impossible'))
  const off = page.getByRole('heading', { name: /head thermometer cannot be right/i })
  await expect(off).toBeFocused()
  await expect(page.getByRole('dialog')).toHaveCount(0)
  await page.waitForTimeout(600)
  await page.getByRole('button', { name: 'Seen' }).click()
  await expect(off).toHaveCount(0)
  await probes.stop()
  const seen = (await told(page)).actions.filter(({ action }) => action === 'seen').map(({ note }) => note)
  expect(seen.slice(-2)).toEqual(['coolant_loss', 'data_impossible'])
})

test('a run that stands still behind a server that answers is said so loudly, and no number stays', async ({ site: page }, info) => {
  test.setTimeout(90_000)
  await layable(page)
  await openExample(page)
  await rehearse(page, '10')
  await expect(page.getByRole('button', { name: /^Heater/ })).toContainText(/\d\sW/)
  await lay(page, { time_s: 77 })
  await expect(page.getByRole('heading', { name: 'The run stands still.' })).toBeVisible({ timeout: 30_000 })
  await expect(page.getByRole('button', { name: /^Heater/ })).not.toContainText(/\d/)
  await expect(page.getByRole('img', { name: /^Run strip/ })).toContainText('no reading')
  await expect(page.getByRole('region', { name: 'What is to come' })).toHaveCount(0)
  await sound(page)
  await picture(page, info, 'stalled')
  await lay(page, null)
  await expect(page.getByRole('heading', { name: 'The run stands still.' })).toHaveCount(0, { timeout: 30_000 })
})

test('digits of the keyboard enter a pad whose first field is a choice', async ({ site: page }) => {
  await openExample(page)
  await rehearse(page, '1', false)
  const sent = await caught(page)
  await page.locator('body').press('t')
  await expect(page.getByRole('dialog', { name: /Take-off/ })).toBeVisible()
  await page.locator('label', { hasText: 'mL/min' }).click()
  await page.keyboard.type('18')
  await page.keyboard.press('Enter')
  await expect.poll(() => sent).toMatchObject([{ action: 'takeoff', value: 18, unit: 'ml_per_min' }])
})
