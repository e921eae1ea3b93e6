// Every page in every look: opens, is sound, is marked as example, and says what it should.
import { expect } from '@playwright/test'
import { goTo, lookedAt, openExample, PHONE, pictures, rehearse, speed, test } from './house'

// One walk through all pages of the example, on a desk and on a phone, whose menu is behind one key.
for (const [look, use] of [['desktop', {}], ['phone', PHONE]] as const) {
  test.describe(look, () => {
    test.use(use)
    test('the example is walked through: each page is sound by day and in the dark', async ({ site: page }, info) => {
      test.setTimeout(90_000)
      await expect(page.getByRole('button', { name: 'Describe my still' })).toBeVisible()
      await expect(page.getByText('guards nothing')).toBeVisible()
      // Before a still is described, what needs none.
      await expect(page.locator('#places a')).toHaveText(['Wash', 'Books'])
      await lookedAt(page, info, 'start')
      await goTo(page, 'Wash')
      await expect(page.getByRole('heading', { level: 1 })).toHaveText('No wash yet.')
      await goTo(page, 'Books')
      await expect(page.getByRole('heading', { level: 1 })).toHaveText('Nothing is entered yet.')
      await page.getByRole('link', { name: 'Middlecut' }).click()

      await openExample(page)
      await expect(page.getByText('example', { exact: true })).toBeVisible()
      await expect(page.getByText('(4 in 5, from the charge)')).toBeVisible()
      await expect(page.getByRole('img', { name: /^Forecast/ })).toBeVisible()
      await page.getByText('Read as table').first().click()
      await expect(page.getByRole('rowheader', { name: 'hearts', exact: true })).toBeVisible()
      await lookedAt(page, info, 'plan')

      await goTo(page, 'Books')
      await expect(page.getByRole('heading', { level: 1 })).toHaveText('1.075 L reached the bottles.')
      await expect(page.getByText('only to be read')).toBeVisible()
      await expect(page.getByRole('button', { name: 'Enter it' })).toHaveCount(0)
      if (process.env.MIDDLECUT_LOOKS === 'all') await lookedAt(page, info, 'example-book')

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
      await lookedAt(page, info, 'bench')

      await goTo(page, 'Still')
      await expect(page.getByText('nothing is learned yet')).toBeVisible()
      await expect(page.getByRole('rowheader', { name: 'contact stages' })).toBeVisible()
      await lookedAt(page, info, 'still')

      await goTo(page, 'Plan')
      await rehearse(page, '600')
      await expect(page.getByText('rehearsal', { exact: true })).toBeVisible()
      await expect(page.getByRole('region', { name: 'What happened' }).getByText(/first vapour/i).first()).toBeAttached({ timeout: 30_000 })
      await speed(page, 'pause')
      await lookedAt(page, info, 'run')
    })
  })
}

const beliefs = (sd: number) => [
  { of: 'separation', mean: -0.16, sd: 0.25 * sd }, { of: 'heat_loss', mean: 0.22, sd: 0.4 * sd }, { of: 'heater', mean: -0.03, sd: 0.02 * sd }, { of: 'hold_up', mean: 0.02, sd: 0.29 },
  { of: 'head_offset', mean: 0.21, sd: 0.3 * sd }, { of: 'pot_offset', mean: -0.12, sd: 0.4 * sd * 1.4 }, { of: 'valve', mean: 0.015, sd: 0.04 * Math.min(sd * 1.6, 1) }, { of: 'yield', mean: -0.008, sd: 0.02 * Math.min(sd * 2, 1) },
]

test('the still shows what its runs taught, and can begin anew', async ({ site: page }, info) => {
  let runs = 4
  await page.route('**/api/stills/**', async (route) => {
    if (route.request().method() === 'POST') {
      expect(route.request().postDataJSON()).toEqual({ reason: 'new packing' })
      runs = 0
    }
    const resets = runs ? [] : [{ stored_ms: Date.UTC(2026, 9, 4), reason: 'new packing', lessons: 4 }]
    const history = [0.8, 0.55, 0.4, 0.3].map((sd, i) => ({ title: `Perry ${i + 1}`, start: '2026-10-03T08:00:00+02:00', run: beliefs(sd * 1.4).map((belief, k) => ({ ...belief, mean: belief.mean + 0.04 * ((i + k) % 3 - 1) })), after: beliefs(sd) }))
    await route.fulfill({ json: { name: 'x', rehearsed: true, runs, lessons: [], resets, character: { beliefs: runs ? beliefs(0.3) : [], history: runs ? history : [] } } })
  })
  await openExample(page)
  await goTo(page, 'Still')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('4 rehearsals')
  await expect(page.getByText('can hardly be learned from a run').first()).toBeVisible()
  await pictures(page, info, 'learned')
  await page.getByRole('button', { name: 'Hardware was changed' }).click()
  await page.getByRole('button', { name: 'Begin anew' }).click()
  await expect(page.getByRole('alert')).toBeVisible()
  await page.getByLabel('what was changed').fill('new packing')
  await page.getByRole('button', { name: 'Begin anew' }).click()
  await expect(page.getByRole('heading', { level: 1 })).toContainText('no runs yet')
})

test('a still of one\'s own is described by what a rule shows, and every assumed value says from what it follows', async ({ site: page }, info) => {
  await page.getByRole('button', { name: 'Describe my still' }).click()
  await page.getByLabel('its name').fill('Shed still')
  await page.getByLabel(/heater, W/).fill('2000 + 1500')
  await page.getByLabel('the column, mm across inside').fill('50')
  await page.getByLabel('what stands in it, mm high').fill('1000')
  const choose = (group: string, words: string) => page.getByRole('group', { name: group, exact: true }).locator('label', { hasText: words }).click()
  await choose('what stands in the column', 'loose pieces')
  await page.getByRole('button', { name: 'Keep this still' }).click()
  await expect(page.getByRole('alert')).toContainText('across one piece')
  await page.getByLabel('across one piece, mm').fill('5')
  await choose('column', 'bare')
  await choose('boiler', 'wrapped')
  await choose('walls', 'copper')
  await pictures(page, info, 'describe')
  await page.getByRole('button', { name: 'Keep this still' }).click()
  const stages = page.locator('.values > div', { hasText: 'contact stages' })
  // 1000 mm of packing over 18 times 5 mm, the rule of thumb for random packing.
  await expect(stages.getByRole('textbox')).toHaveValue('11.0')
  await expect(stages).toContainText('follows from: pieces of 5 mm, 90 mm of it for each stage')
  await pictures(page, info, 'described')
  // Measured again: what follows moves, what was said stays.
  await page.getByLabel('liquid held in the column, L', { exact: true }).fill('0.4')
  await page.getByRole('button', { name: 'Change what was measured' }).click()
  await choose('what stands in the column', 'plates')
  await page.getByLabel('how many plates').fill('5')
  await page.getByRole('button', { name: 'Keep these values' }).click()
  await expect(stages).toContainText('5 plates')
  await expect(page.locator('.values > div', { hasText: 'liquid held in the column' })).toContainText('said by you')
  await goTo(page, 'Plan')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('of hearts')
})
