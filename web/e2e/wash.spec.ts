// A wash on the page: its recipe, readings and a correction, its sentence and list, into the still.
import { expect, type Page } from '@playwright/test'
import { goTo, lookedAt, openExample, PHONE, sound, test } from './house'

const HOUR_MS = 3_600_000
/** Invented: a plum wash six days old. */
const READ: [hours: number, gravity: number, celsius: number][] = [[0.2, 1.059, 21], [20, 1.055, 22.5], [43, 1.043, 24], [66, 1.031, 24], [92, 1.02, 23.5], [114, 1.012, 22.5], [138, 1.007, 21.5]]

/** Takes a wash in that was begun so many hours ago. */
async function taken(page: Page, ago: number): Promise<string> {
  const start = new Date(Date.now() - ago * HOUR_MS).toISOString().replace(/\.\d+Z$/, '+00:00')
  const toml = `format = 1\ntitle = "Plum"\nstart = "${start}"\nkind = "fruit"\nlitres = 25.0\n[[fermentable]]\nname = "fruit juice"\nlitres = 25.0\nbrix = 14.5\n[yeast]\nkind = "wine"\ngrams = 20\n[[nutrient]]\nat_h = 0.0\nname = "DAP"\ngrams = 12\nyan_mg_per_g = 212\n[room]\nambient_c = 19.0\ninsulated = false\nvolume_m3 = 20.0\n[reading]\nhydrometer_true_at_c = 20.0\nhydrometer_step = 0.001\n`
  const files = { 'wash.toml': toml, 'readings.csv': `time_h,gravity,temperature_c\n${READ.map((row) => row.join(',')).join('\n')}\n`, 'actions.csv': 'time_h,action,value,unit,note\n0,pitch,20,g,wine\n0,nutrient,12,g,DAP\n46,nutrient,6,g,\n' }
  const answer = await page.request.post(`${new URL(page.url()).origin}/api/washes/folder`, { data: { files, example: true, by: 'Ada' } })
  expect(answer.ok(), await answer.text()).toBe(true)
  return ((await answer.json()) as { id: string }).id
}

for (const [look, use] of [['phone', PHONE], ['desktop', {}]] as const) {
  test.describe(look, () => {
    test.use(use)
    // The phone's layout is the harder one; the desk is walked through for its pictures.
    test.skip(look === 'desktop' && process.env.MIDDLECUT_LOOKS !== 'all')
    test('a wash is begun, read, put right and goes into the still', async ({ site: page }, info) => {
      await openExample(page)
      await goTo(page, 'Wash')
      // The bundled wash of the example, six days old.
      await expect(page.getByRole('heading', { level: 1 })).toHaveText('Late pear is fermenting.')
      await expect(page.getByText(/It should finish on/)).toBeVisible()
      await page.getByRole('button', { name: 'a new wash' }).click()
      await page.getByLabel('name', { exact: true }).fill('Pear')
      await page.getByLabel('air in the room, m³').fill('30')
      await expect(page.getByText(/should end after about/)).toBeVisible()
      if (process.env.MIDDLECUT_LOOKS === 'all') await lookedAt(page, info, 'wash-recipe')
      await page.getByRole('button', { name: 'The yeast goes in now' }).click()
      await expect(page.getByRole('heading', { level: 1 })).toHaveText('Pear is fermenting.')

      const id = await taken(page, 140)
      await page.evaluate((to) => { location.hash = `#/wash/${to}` }, id)
      await expect(page.getByText(/Gravity 1\.007 at 20.°C, read [^.]+\. It should finish on/)).toBeVisible()
      await page.getByRole('group', { name: 'Enter' }).getByRole('button', { name: 'Reading' }).click()
      await page.waitForTimeout(600)
      await page.keyboard.type('1.5')
      await page.getByRole('dialog').getByRole('button', { name: 'Enter' }).click()
      await expect(page.getByRole('dialog')).toContainText('from 0.950 to 1.300')
      for (let i = 0; i < 3; i += 1) await page.keyboard.press('Backspace')
      await page.keyboard.type('1.060')
      await page.getByRole('dialog').getByRole('button', { name: 'Enter' }).click()
      const log = page.locator('section', { has: page.getByRole('heading', { name: 'What happened' }) })
      await expect(log).toContainText('gravity 1.060')
      await log.getByRole('button', { name: 'correct' }).first().click()
      await page.waitForTimeout(600)
      await page.keyboard.type('1.006')
      await page.getByRole('dialog').getByRole('button', { name: 'Correct it' }).click()
      await expect(log.locator('s')).toHaveText('gravity 1.060')
      await page.getByRole('button', { name: 'it is so' }).first().click()
      await expect(page.getByText('(so it was said)')).toBeVisible()
      await expect(page.getByText(/in this room of 20.m³/)).toBeVisible()
      if (process.env.MIDDLECUT_LOOKS === 'all') await lookedAt(page, info, 'wash')
      else await sound(page)
      await page.getByLabel('who enters it in the account').fill('Ada')
      await page.getByLabel('litres, L at 20 °C').fill('23.5')
      await page.getByRole('button', { name: 'Enter it, and plan its run' }).click()
      await expect(page.getByLabel('charge, L')).toHaveValue('23.5')
      await goTo(page, 'Wash')
      await expect(page.getByRole('heading', { level: 1 })).toHaveText('Pear is fermenting.')
    })
  })
}
