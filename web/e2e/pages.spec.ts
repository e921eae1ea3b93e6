// Every page in every look: opens, is sound, is marked as example, and says what it should.
import { expect } from '@playwright/test'
import { goTo, openExample, picture, rehearse, sound, speed, test } from './house'

test('first start offers two ways and says what it is not', async ({ site: page }, info) => {
  await expect(page.getByRole('button', { name: 'Try the example' })).toBeVisible()
  await expect(page.getByRole('button', { name: 'Describe my still' })).toBeVisible()
  await expect(page.getByText('guards nothing')).toBeVisible()
  await expect(page.getByRole('navigation', { name: 'Places' })).toHaveCount(0)
  await sound(page)
  await picture(page, info, 'start', true)
})

test('plan: a sentence with its range, the drawing, the jars', async ({ site: page }, info) => {
  await openExample(page)
  await expect(page.getByText('example', { exact: true })).toBeVisible()
  await expect(page.getByText('(4 in 5, from the charge)')).toBeVisible()
  await expect(page.getByRole('img', { name: /^Forecast/ })).toBeVisible()
  await page.getByText('Read as table').first().click()
  await expect(page.getByRole('rowheader', { name: 'hearts', exact: true })).toBeVisible()
  await sound(page)
  await picture(page, info, 'plan', true)
})

test('bench: gauge, reduce and blend', async ({ site: page }, info) => {
  await openExample(page)
  await goTo(page, 'Bench')
  // Glass marked at 20 C reads 62.0 at 28 C: 59.20 % vol at 20 C (worked example of the OIML R 22 formula with glass 25e-6 /K).
  await page.getByLabel('the glass reads, % vol').fill('62,0')
  await page.getByLabel('spirit at, °C').fill('28')
  await expect(page.getByRole('heading', { level: 1 })).toHaveText(/59\.2.%.vol true\./)
  await page.getByLabel('wanted, % vol').fill('70')
  await expect(page.getByRole('alert')).toBeVisible()
  await page.getByLabel('wanted, % vol').fill('40')
  await expect(page.getByText('water to add, by weight')).toBeVisible()
  await expect(page.getByText(/Together 2\.\d+.L/)).toBeVisible()
  await sound(page)
  await picture(page, info, 'bench', true)
})

test('still: values are believed, nothing learned', async ({ site: page }, info) => {
  await openExample(page)
  await goTo(page, 'Still')
  await expect(page.getByText('nothing is learned yet')).toBeVisible()
  await expect(page.getByRole('rowheader', { name: 'contact stages' })).toBeVisible()
  await sound(page)
  await picture(page, info, 'still', true)
})

test('run: a rehearsal to first vapour', async ({ site: page }, info) => {
  await openExample(page)
  await rehearse(page, '600')
  await expect(page.getByText('rehearsal', { exact: true })).toBeVisible()
  await expect(page.getByRole('list').getByText(/first vapour/i).first()).toBeAttached({ timeout: 30_000 })
  await speed(page, 'pause')
  await sound(page)
  await picture(page, info, 'run', true)
})
