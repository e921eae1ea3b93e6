// One rehearsal in its hearts, looked at in every size and light: what is to come, what is doubted, keys that fit, paper.
import { expect, type Page } from '@playwright/test'
import { drawn, event, lay, layable, openExample, picture, rehearse, sound, speed, test } from './house'

const SIZES = [['desk', 1280, 800], ['phone', 390, 844], ['small', 320, 640], ['zoom', 640, 400]] as const

/** No key is cut, the jars stand above the keys, no label on another. */
async function fits(page: Page, name: string): Promise<void> {
  const cut = await page.locator('.keys button').evaluateAll((keys) => keys.filter((key) => key.scrollWidth > key.clientWidth + 1).map((key) => key.textContent))
  expect(cut, `${name}: keys are cut`).toEqual([])
  const [strip, foot] = [await page.locator('.strip .window').boundingBox(), await page.locator('.foot').boundingBox()]
  const keysTop = foot?.y ?? 0
  if (name === 'desk') expect((strip?.y ?? 0) + (strip?.height ?? 0), 'the jars are behind the keys').toBeLessThanOrEqual(keysTop)
  if (name === 'phone') expect((strip?.y ?? 0) + (strip?.height ?? 0) - 134, 'the jars begin below the fold').toBeLessThan(keysTop)
  const names = await page.locator('.strip .window text').evaluateAll((texts) => {
    const boxes = texts.filter((text) => Number(text.getAttribute('y')) <= 48 && text.textContent).map((text) => text.getBoundingClientRect())
    return boxes.flatMap((a, i) => boxes.slice(i + 1).filter((b) => a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 3 && b.top < a.bottom - 3)).length
  })
  expect(names, `${name}: labels collide`).toBe(0)
}

test('hearts in every size and light, with a prompt, in doubt, and on paper', async ({ site: page }, info) => {
  test.setTimeout(120_000)
  await layable(page)
  await openExample(page)
  await rehearse(page, '600')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Collecting hearts', { timeout: 90_000 })
  await expect(page.getByRole('region', { name: 'What is to come' })).toContainText('hearts to come', { timeout: 30_000 })
  await speed(page, 'pause')
  await expect(page.locator('.say')).toContainText(/hearts should end about \d\d:\d\d; between \d\d:\d\d and \d\d:\d\d \(4 in 5\)\./i)
  await expect(page.getByRole('region', { name: 'What is to come' })).toContainText('hearts in all')
  await sound(page)
  await picture(page, info, 'outlook', true)

  const due = { code: 'slow_phase', text: 'change the jar and begin the slow hearts, reflux ratio 9, heater to 1700 W', now: true, due: null, from: 'seen', act: { do: 'begin', step: 5, after: 4 } }
  await lay(page, { instruction: due, prompts: [event({ text: 'The fast part of the hearts is over.' })] })
  await page.reload()
  await expect(page.getByRole('button', { name: 'Begin slow hearts' })).toBeVisible()
  await expect(page.locator('.strip .moves')).toBeVisible()
  for (const [name, width, height] of SIZES) {
    await page.setViewportSize({ width, height })
    await drawn(page)
    await fits(page, name)
    if (name === 'phone') await sound(page)
    await picture(page, info, `size-${name}`)
  }

  await page.emulateMedia({ colorScheme: 'dark' })
  await page.setViewportSize({ width: 390, height: 844 })
  const why = 'the head is not read any more'
  await lay(page, {
    rise: null, strength_now: null, hearts_to_come_l: null, hearts_in_all_l: null, jars_to_come: null, would_help: [], instruction: null, prompts: [],
    unknown: [['rise', 'The rise over the plateau'], ['strength', 'The strength'], ['end', 'When the hearts end'], ['litres', 'How much is still to come']].map(([what, words]) => ({ what, words, why })),
    doubts: [{ code: 'drift', words: 'a head thermometer that drifts', channel: 'head_c', since_s: 5000, odds: '9 in 10', why: 'it climbs while the pot stays where the litres say it should be' }],
  })
  await page.reload()
  await expect(page.getByText('The rise over the plateau, the strength, when the hearts end and how much is still to come cannot be told now.')).toBeVisible()
  await expect(page.getByText('A head thermometer that drifts', { exact: true })).toBeVisible()
  await expect(page.getByRole('region', { name: 'What is to come' })).toContainText('cannot tell now')
  await sound(page)
  await picture(page, info, 'doubt-phone-dark', true)

  await lay(page, null)
  // An A4 page less its margins, at 96 dots per inch.
  await page.setViewportSize({ width: 718, height: 1000 })
  await page.reload()
  await page.emulateMedia({ media: 'print', colorScheme: 'light' })
  await expect(page.locator('.say h1')).toBeVisible()
  for (const gone of ['.foot', '.ageline', '.side']) await expect(page.locator(gone)).toBeHidden()
  for (const there of ['.strip svg', '.happened li']) await expect(page.locator(there).first()).toBeVisible()
  const strip = await page.locator('.strip .window').boundingBox()
  expect((strip?.x ?? 0) + (strip?.width ?? 0)).toBeLessThanOrEqual(718)
  expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(718)
  expect(await page.evaluate(() => getComputedStyle(document.body).backgroundColor)).toBe('rgb(255, 255, 255)')
  await picture(page, info, 'paper', true)
})
