// The server dies and comes back: no old number stays on the page, nothing recorded is lost.
import { expect } from '@playwright/test'
import { middlecut, openExample, picture, rehearse, test } from './house'

test('a killed server empties the page, a new one fills it again', async ({ site: page, server }, info) => {
  test.setTimeout(90_000)
  await openExample(page)
  await rehearse(page, '60')
  await page.getByRole('button', { name: /^Note/ }).click()
  await page.getByLabel('what you saw, smelt or did').fill('a note before the fall')
  await page.getByRole('button', { name: 'Enter' }).click()
  await expect(page.getByText('a note before the fall')).toBeAttached()
  const port = server.port
  await server.stop('SIGKILL')
  await expect(page.getByRole('heading', { name: 'The page has lost Middlecut.' })).toBeVisible({ timeout: 15_000 })
  await expect(page.getByLabel('Age of readings')).toContainText('nothing known since')
  await expect(page.getByRole('button', { name: /^Heater/ })).not.toContainText('3500')
  await picture(page, info, 'lost')
  await server.start(port)
  await expect(page.getByRole('heading', { name: 'The page has lost Middlecut.' })).toBeHidden({ timeout: 20_000 })
  await expect(page.getByText('a note before the fall')).toBeAttached()
  await server.stop()
  await middlecut('verify', '--data', server.data)
})
