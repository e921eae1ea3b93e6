// The run by hand: keys, pads, undo, far view, units, the list of runs, a lost server.
import { expect } from '@playwright/test'
import { goTo, openExample, PHONE, picture, rehearse, sound, test, told } from './house'

test.describe('phone', () => {
  test.use(PHONE)
  test('keys record what a person did, and a new jar can be taken back', async ({ site: page }, info) => {
    await openExample(page)
    await rehearse(page, '10', false)
    await page.getByRole('button', { name: /^Heater is on/ }).click()
    await page.locator('.keys').getByRole('button', { name: /^Coolant/ }).click()
    const pad = page.getByRole('dialog', { name: 'Coolant was changed to' })
    await expect(pad).toBeVisible()
    await pad.getByRole('button', { name: '1', exact: true }).click()
    await pad.getByRole('button', { name: 'decimal point' }).click()
    await pad.getByRole('button', { name: '8', exact: true }).click()
    await picture(page, info, 'pad')
    await pad.getByRole('button', { name: 'Enter' }).click()
    await expect(page.getByText('Coolant changed to 1.8 L/min')).toBeAttached()
    await expect(page.locator('.keys').getByRole('button', { name: /^Coolant/ })).toContainText('1.8')
    await page.getByRole('button', { name: /^New jar/ }).click()
    await page.getByRole('button', { name: /^Undo/ }).click()
    await expect(page.getByRole('button', { name: /^New jar/ })).toContainText('jar 1')
    await expect(page.getByRole('region', { name: 'What happened' }).locator('s', { hasText: 'Jar 1 under the spout.' })).toBeAttached()
  })
})

test('sound is armed by a press; far view, units and pads by keyboard; a rehearsal of the example stays out of the own log', async ({ site: page, server }, info) => {
  await openExample(page)
  await rehearse(page, '1', false)
  await expect(page.getByRole('button', { name: /sound not armed/ })).toBeVisible()
  await page.getByRole('button', { name: /sound not armed/ }).click()
  await expect(page.getByText('sound armed')).toBeVisible()
  const alarms = page.getByRole('region', { name: 'Alarms', exact: true })
  await alarms.getByText('How they are heard').click()
  await alarms.getByRole('button', { name: 'Try each output' }).click()
  await expect(alarms.getByRole('status')).toContainText('the command: not set')
  await expect(alarms.getByRole('status')).toContainText('the bell of the terminal: failed: the program runs in no terminal')

  await page.locator('h1 button').click()
  await expect(page.getByRole('dialog', { name: 'Far view' })).toBeVisible()
  await picture(page, info, 'far')
  await page.keyboard.press('Escape')
  await page.getByRole('button', { name: /°C, % vol/ }).click()
  await page.locator('label', { hasText: 'US proof' }).click()
  await page.locator('label', { hasText: '°F' }).click()
  await page.keyboard.press('Escape')
  await expect(page.getByRole('button', { name: /°F, proof/ })).toBeVisible()

  // Digits of the keyboard enter a pad whose first field is a choice.
  await page.locator('body').press('t')
  const pad = page.getByRole('dialog', { name: /Take-off/ })
  await expect(pad).toBeVisible()
  await sound(page)
  await pad.locator('label', { hasText: 'mL/min' }).click()
  await page.keyboard.type('18')
  await page.keyboard.press('Enter')
  await expect.poll(async () => (await told(page)).actions.map(({ action, value }) => [action, value])).toContainEqual(['takeoff', 18])

  const own = (await (await page.request.get(`${server.address}/api/runs`)).json()) as unknown[]
  expect(own).toEqual([])
  await goTo(page, 'Run')
  await expect(page.getByRole('heading', { level: 1 })).toHaveText(/open\.$/)
})
