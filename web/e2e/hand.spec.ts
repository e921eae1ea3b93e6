// Hands at the still: a far view and a pad under an alarm, a run that stands still, digits of the keyboard.
import { expect, type Page } from '@playwright/test'
import { event, lay, layable, openExample, picture, rehearse, sound, test } from './house'

const COOLANT = event({ kind: 'alarm', code: 'coolant_lost', priority: 'critical', text: 'The coolant has stopped.', how_sure: 'the flow reads 0.0 L/min', do: 'Turn the heater off.', within_s: 60 })

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

test('a far view and an open pad give way to an alarm, which takes the focus @phone', async ({ site: page }, info) => {
  await layable(page)
  await openExample(page)
  await rehearse(page, '1')
  const sent = await caught(page)
  await page.locator('h1 button').click()
  await expect(page.getByRole('dialog', { name: 'Far view' })).toBeVisible()
  await lay(page, { alarms: [COOLANT] })
  await expect(page.getByRole('heading', { name: 'The coolant has stopped.' })).toBeFocused()
  await expect(page.getByRole('dialog')).toHaveCount(0)
  await sound(page)
  await picture(page, info, 'alarm')
  await page.keyboard.press('f')
  await expect(page.getByRole('dialog')).toHaveCount(0)
  // A pad may be opened under an alarm that stands; it tells the alarm itself.
  await page.getByRole('button', { name: /^Heater/ }).click()
  await expect(page.getByRole('dialog', { name: /Heater/ }).getByRole('alert')).toContainText('The coolant has stopped.')
  await lay(page, { alarms: [COOLANT], seen: ['coolant_lost'] })
  await expect(page.getByRole('dialog', { name: /Heater/ }).getByRole('alert')).toHaveCount(0)
  await lay(page, { alarms: [event({ ...COOLANT, code: 'vent', text: 'Vapour leaves the vent.' })] })
  await expect(page.getByRole('heading', { name: 'Vapour leaves the vent.' })).toBeFocused()
  await expect(page.getByRole('dialog')).toHaveCount(0)
  await page.getByRole('button', { name: 'Seen' }).click()
  await expect.poll(() => sent.map(({ note }) => note)).toEqual(['vent'])
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
