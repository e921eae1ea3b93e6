// Acts of several hands on a simulated still without a stand-in: two taps, two browsers, a power cut in the hearts.
import { expect, type Page } from '@playwright/test'
import { elsewhere, openExample, picture, rehearse, sound, speed, test, told } from './house'

/** Presses what the sentence asks for until the page says so. */
async function until(page: Page, heading: RegExp, name: string): Promise<void> {
  const title = page.getByRole('heading', { level: 1 })
  const key = page.locator('.dueline .press')
  await speed(page, name)
  const end = Date.now() + 60_000
  while (!heading.test((await title.textContent()) ?? '') && Date.now() < end) {
    if ((await key.count()) && (await key.first().getAttribute('aria-disabled')) !== 'true') await key.first().click({ timeout: 500 }).catch(() => undefined)
    await page.waitForTimeout(60)
  }
  await speed(page, 'pause')
  await expect(title).toHaveText(heading)
}

test('two taps 180 ms apart and a second browser begin one step; what one records the other shows within a second', async ({ site: page, browser }, info) => {
  await openExample(page)
  await rehearse(page, '600', false)
  await page.getByRole('button', { name: /^Heater is on/ }).click()
  const key = page.getByRole('button', { name: /^Begin equalising/ })
  await expect(key).toBeVisible({ timeout: 40_000 })
  await speed(page, 'pause')
  const context = await browser.newContext({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true })
  const other = await context.newPage()
  await other.goto(page.url())
  const otherKey = other.getByRole('button', { name: /^Begin equalising/ })
  await expect(otherKey).toBeVisible()
  const box = await key.boundingBox()
  const [x, y] = [(box?.x ?? 0) + 30, (box?.y ?? 0) + 30]
  await Promise.all([page.mouse.click(x, y), otherKey.tap()])
  await page.waitForTimeout(180)
  await picture(page, info, 'two-taps')
  await page.mouse.click(x, y)
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Equalising')
  await expect(other.getByRole('heading', { level: 1 })).toContainText('Equalising', { timeout: 1000 })
  await page.waitForTimeout(300)
  expect((await told(page)).actions.filter(({ action }) => action === 'step').map(({ note }) => note)).toEqual(['equalise'])

  await other.getByRole('button', { name: /^New jar/ }).tap()
  await expect(page.getByRole('button', { name: /^New jar/ })).toContainText('1 → 2', { timeout: 1500 })
  await expect(page.getByRole('region', { name: 'What happened' }).getByText('Jar 1 under the spout.')).toBeAttached({ timeout: 1500 })
  await picture(page, info, 'two-browsers-a')
  await other.screenshot({ path: 'test-results/screens/phone-two-browsers-b.png' })
  await context.close()
})

test('a power cut in the first minutes of hearts makes no plateau and no alarm of the head; the run is gone on with', async ({ site: page }, info) => {
  test.setTimeout(120_000)
  await openExample(page)
  await rehearse(page, '600', false)
  await page.getByRole('button', { name: /^Heater is on/ }).click()
  await until(page, /^Collecting hearts/, '600×')
  await elsewhere(page, 'actions', { action: 'heater', value: 0, unit: 'W' })
  await speed(page, '60×')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('The heat is off in mid-run', { timeout: 20_000 })
  await page.waitForTimeout(3000)
  await speed(page, 'pause')
  await sound(page)
  await picture(page, info, 'power-cut')
  expect((await told(page)).knowledge.rise).toBeNull()
  await page.getByRole('button', { name: /go on$/ }).click()
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Equalising')
  await speed(page, '60×')
  await page.waitForTimeout(4000)
  await speed(page, 'pause')
  const after = await told(page)
  expect(after.knowledge.rise).toBeNull()
  expect(after.knowledge.alarms.map(({ code }) => code)).not.toContain('head_runs_away')
  await expect(page.getByRole('img', { name: /^Run strip/ })).not.toContainText('against the plateau')
  await picture(page, info, 'power-back')
})
