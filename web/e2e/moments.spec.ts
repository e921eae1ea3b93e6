// The long form alone: moments that take an alarm, an hour or a second person, each before and after.
import { expect, type Page } from '@playwright/test'
import { Air, code, CODES_EVERYWHERE, both, device, letIn } from './devices'
import { allSeen, elsewhere, feeder, heartsRow, ownHearts, test, told } from './house'
import { look } from './looked'

test.skip(process.env.MIDDLECUT_LOOKS !== 'all', 'the check tries the moments without pictures')

test('a far view that an alarm comes over', async ({ site: page }) => {
  test.setTimeout(240_000)
  await ownHearts(page)
  const upto = Math.floor((await told(page)).knowledge.time_s)
  await elsewhere(page, 'readings', { rows: Array.from({ length: Math.floor((upto - 900) / 5) }, (_, i) => ({ time_s: 900 + i * 5, ...heartsRow(1.8, i) })) })
  const probes = feeder(page, (row) => heartsRow(1.8, row))
  await probes.until((known) => known.time_s > upto + 3)
  await allSeen(page)
  await page.keyboard.press('f')
  await expect(page.getByRole('dialog', { name: 'Far view' })).toBeVisible()
  await look(page, 'moment-far-1-before-alarm')
  probes.read((row) => heartsRow(0, row))
  await probes.until((known) => known.alarms.some(({ code }) => code === 'coolant_loss'))
  await expect(page.getByRole('heading', { name: /coolant/i })).toBeFocused()
  await page.keyboard.press('f')
  await expect(page.getByRole('dialog')).toHaveCount(0)
  await look(page, 'moment-far-2-under-alarm')
  await elsewhere(page, 'actions', { action: 'seen', note: 'coolant_loss' })
  await page.waitForTimeout(1500)
  await page.keyboard.press('f')
  await look(page, 'moment-far-3-alarm-seen')
  await probes.stop()
})

test('a take-off and a jar that were wrong for an hour', async ({ site: page }) => {
  test.setTimeout(180_000)
  await ownHearts(page, 6300)
  const log = page.getByRole('region', { name: 'What happened' })
  await elsewhere(page, 'actions', { action: 'takeoff', value: 150, unit: 'ml_per_min', time_s: 2400, sure: true })
  await allSeen(page)
  await expect.poll(async () => (await told(page)).knowledge.drawn?.litres.at.p50 ?? 0).toBeGreaterThan(1.2)
  await page.waitForTimeout(1500)
  await look(page, 'moment-correct-1-before')
  const correct = async (line: string, key: string): Promise<void> => {
    await log.locator('li', { hasText: line }).getByRole('button', { name: /^Change/ }).click()
    await page.waitForTimeout(600)
    await page.keyboard.type(key)
  }
  await correct('150 mL/min', '15')
  await look(page, 'moment-correct-2-pad')
  await page.getByRole('dialog').getByRole('button', { name: 'Correct it' }).click()
  await expect(log.locator('li', { hasText: '150 mL/min' }).locator('b')).toContainText('15 mL/min')
  await page.waitForTimeout(600)
  await correct('Jar 2 under the spout.', '3')
  await page.keyboard.press('Enter')
  await expect(log.locator('li', { hasText: 'Jar 2 under the spout.' }).locator('b')).toContainText('Jar 3')
  await expect.poll(async () => (await told(page)).knowledge.drawn?.litres.at.p50 ?? 9).toBeLessThan(1.2)
  await allSeen(page)
  await page.waitForTimeout(1500)
  await look(page, 'moment-correct-3-after')
})

/** As a picture shows it, whatever the device was. */
const press = (page: Page, name: RegExp): Promise<void> => page.getByRole('button', { name }).tap()

test('what a second person does, and a stream that is cut and comes back', async ({ browser, server }) => {
  test.setTimeout(180_000)
  await server.stop()
  await server.start(0, CODES_EVERYWHERE)
  const host = 'still.local'
  const air = await Air.before(host, server.port)
  const [at, otherAt] = [`http://${host}:${air.port}`, `http://${host}:${server.port}`]
  const [one, two] = [await device(browser, 'phone'), await device(browser, 'tablet')]
  await letIn(one, at, await code(server), 'phone at the still')
  await letIn(two, otherAt, await code(server), 'tablet in the kitchen')
  await both(one, two, otherAt)
  await look(one, 'moment-second-1-before')
  await one.setViewportSize({ width: 390, height: 844 })
  await press(two, /^New jar/)
  await elsewhere(two, 'actions', { action: 'note', note: 'the lamp went out' })
  await expect(one.getByRole('button', { name: /^New jar/ })).toContainText('1 → 2', { timeout: 1000 })
  await expect(one.getByText('the lamp went out', { exact: false })).toBeAttached()
  await look(one, 'moment-second-2-after')
  await look(two, 'moment-second-3-the-other')
  air.cut()
  await expect(one.getByRole('heading', { name: 'The page has lost Middlecut.' })).toBeVisible({ timeout: 15_000 })
  await elsewhere(two, 'actions', { action: 'note', note: 'the lamp is on again' })
  await look(one, 'moment-stream-1-lost')
  air.clear()
  await expect(one.getByText(/^Back after/)).toBeVisible({ timeout: 15_000 })
  await look(one, 'moment-stream-2-back')
  for (const page of [one, two]) await page.context().close()
  air.close()
})
