// The server is away for a whole minute: what is pressed meanwhile, in a page that stays and in one that is loaded anew.
import { expect } from '@playwright/test'
import { middlecut, ownRun, pictures, test, told } from './house'

const AWAY_MS = 60_000

test('what is pressed while the server is away for a minute is recorded in order with its own time, also from a page that was reloaded', async ({ site: page, server, browser }, info) => {
  test.setTimeout(180_000)
  await ownRun(page)
  await expect(page.getByText('sound armed')).toBeVisible()
  const context = await browser.newContext({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true })
  const other = await context.newPage()
  await other.goto(page.url())
  await expect(other.getByRole('heading', { level: 1 })).toContainText('Heating')
  const port = server.port
  const began = (await told(page)).started_ms
  await server.stop('SIGKILL')
  const gone = Date.now()
  for (const one of [page, other]) await expect(one.getByRole('heading', { name: 'The page has lost Middlecut.' })).toBeVisible({ timeout: 15_000 })
  await expect(page.getByLabel('Age of readings')).toContainText('nothing known since')
  await page.locator('.keys .first').click()
  const pressed = Date.now()
  await page.locator('.keys').getByRole('button', { name: /^Coolant/ }).click()
  await page.waitForTimeout(600)
  await page.keyboard.type('1.8')
  await page.keyboard.press('Enter')
  await expect(page.getByText('2 acts are waiting to be recorded.')).toBeVisible()
  await expect(page.getByText('Coolant changed to 1.8')).toBeVisible()

  // The phone: a note, and then somebody loads the page again. Nothing answers; what was pressed stays.
  await other.getByRole('button', { name: /^Note/ }).tap()
  await other.waitForTimeout(600)
  await other.getByLabel('what you saw, smelt or did').fill('the lamp went out')
  await other.getByRole('dialog').getByRole('button', { name: 'Enter' }).tap()
  await expect(other.getByText('One act is waiting to be recorded.')).toBeVisible()
  await other.screenshot({ path: 'test-results/screens/phone-away.png' })
  await other.reload().catch(() => null)
  await pictures(page, info, 'away', false)
  await page.waitForTimeout(Math.max(gone + AWAY_MS - Date.now(), 0))

  await server.start(port)
  await expect(page.getByText(/waiting to be recorded/)).toHaveCount(0, { timeout: 30_000 })
  await other.goto(page.url())
  await expect(other.getByRole('region', { name: 'What happened' })).toContainText('The lamp went out.', { timeout: 30_000 })
  for (const one of [page, other]) {
    await expect(one.getByText(/waiting to be recorded/)).toHaveCount(0)
    await expect(one.getByText('Lost, not in the record')).toHaveCount(0)
    await expect(one.getByRole('heading', { name: 'The page has lost Middlecut.' }), 'what was sent is answered: the page is back').toHaveCount(0, { timeout: 2000 })
  }
  const run = await told(page)
  expect(run.actions.map(({ action }) => action)).toEqual(['heater', 'jar', 'coolant', 'note'])
  const jar = run.actions[1]?.time_s ?? 0
  expect(Math.abs(jar - (pressed - began) / 1000), 'the jar has the time of the press').toBeLessThan(2)
  expect(run.knowledge.time_s - jar).toBeGreaterThan(45)
  await pictures(page, info, 'away-back', false)
  await context.close()
  await server.stop()
  await middlecut('verify', '--data', server.data)
})
