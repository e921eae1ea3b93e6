// Hands at the still: two taps, a far view and a pad under an alarm, a server away, a run that stands still, small screens, paper.
import { expect, type Page } from '@playwright/test'
import { event, lay, layable, openExample, ownRun, picture, rehearse, sound, speed, test } from './house'

const SLOW = event({ text: 'The fast part of the hearts is over.', do: 'Change the jar and begin the slow hearts, reflux ratio 9, heater to 1700 W.' })
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

test('two taps 180 ms apart begin one step, and the key shows that it is dead', async ({ site: page }) => {
  test.setTimeout(90_000)
  await layable(page)
  await openExample(page)
  await rehearse(page, '1')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Heating')
  const sent = await caught(page)
  await lay(page, { prompts: [SLOW], step_index: 4, step: 'hearts', state: 'hearts' })
  const key = page.getByRole('button', { name: /^Begin / })
  await expect(key).toBeVisible({ timeout: 20_000 })
  const box = await key.boundingBox()
  expect(box).not.toBeNull()
  const [x, y] = [(box?.x ?? 0) + 30, (box?.y ?? 0) + 30]
  await page.mouse.click(x, y)
  await page.waitForTimeout(180)
  await expect(key).toHaveAttribute('aria-disabled', 'true')
  await page.mouse.click(x, y)
  await page.waitForTimeout(600)
  expect(sent.filter(({ action }) => action === 'step')).toHaveLength(1)
  await expect(key).toHaveAttribute('aria-disabled', 'false')
  await page.getByRole('button', { name: /^New jar/ }).dblclick({ delay: 20 })
  await page.waitForTimeout(300)
  expect(sent.filter(({ action }) => action === 'jar')).toHaveLength(2)
})

test('a far view and an open pad give way to an alarm, which takes the focus', async ({ site: page }, info) => {
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

test('what is pressed while the server is away waits, and is recorded in order with its own time', async ({ site: page, server }, info) => {
  test.setTimeout(120_000)
  await ownRun(page)
  await expect(page.getByText('sound armed')).toBeVisible()
  const port = server.port
  await server.stop('SIGKILL')
  await expect(page.getByRole('heading', { name: 'The page has lost Middlecut.' })).toBeVisible({ timeout: 15_000 })
  await page.getByRole('button', { name: /^New jar/ }).click()
  await page.getByRole('button', { name: /^Coolant/ }).click()
  await page.keyboard.type('1.8')
  await page.keyboard.press('Enter')
  await expect(page.getByText('2 acts are waiting to be recorded.')).toBeVisible()
  await expect(page.getByText('Coolant changed to 1.8')).toBeVisible()
  await picture(page, info, 'waiting')
  await page.waitForTimeout(5000)
  await server.start(port)
  await expect(page.getByText(/waiting to be recorded/)).toHaveCount(0, { timeout: 30_000 })
  await expect(page.getByText('Lost, not in the record')).toHaveCount(0)
  const id = page.url().split('/run/')[1] ?? ''
  const run = (await (await page.request.get(`${server.address}/api/runs/${id}`)).json()) as { advice: { time_s: number }; actions: { action: string; time_s: number }[] }
  expect(run.actions.map(({ action }) => action)).toEqual(['heater', 'jar', 'coolant'])
  const jar = run.actions[1]?.time_s ?? 0
  expect(run.advice.time_s - jar).toBeGreaterThan(4)
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

test('no key is cut and the jars stand above the keys, small, zoomed and with a prompt', async ({ site: page }, info) => {
  test.skip(info.project.name !== 'desktop', 'it sets every size itself')
  test.setTimeout(240_000)
  await layable(page)
  await openExample(page)
  await rehearse(page, '600')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Collecting hearts', { timeout: 180_000 })
  await speed(page, 'pause')
  await lay(page, { prompts: [SLOW] })
  for (const [name, width, height] of [['desk', 1280, 800], ['phone', 390, 844], ['small', 320, 640], ['zoom', 640, 400]] as const) {
    await page.setViewportSize({ width, height })
    await page.reload()
    await expect(page.getByRole('button', { name: 'Begin slow hearts' })).toBeVisible()
    await page.waitForTimeout(500)
    const cut = await page.locator('.keys button').evaluateAll((keys) => keys.filter((key) => key.scrollWidth > key.clientWidth + 1).map((key) => key.textContent))
    expect(cut, `${name}: keys are cut`).toEqual([])
    const [strip, foot] = [await page.locator('.strip svg').boundingBox(), await page.locator('.foot').boundingBox()]
    const keysTop = foot?.y ?? 0
    if (name === 'desk') expect((strip?.y ?? 0) + (strip?.height ?? 0), 'the jars are behind the keys').toBeLessThanOrEqual(keysTop)
    if (name === 'phone') expect((strip?.y ?? 0) + (strip?.height ?? 0) - 134, 'the jars begin below the fold').toBeLessThan(keysTop)
    const names = await page.locator('.strip svg text').evaluateAll((texts) => {
      const boxes = texts.filter((text) => Number(text.getAttribute('y')) <= 48 && text.textContent).map((text) => text.getBoundingClientRect())
      return boxes.flatMap((a, i) => boxes.slice(i + 1).filter((b) => a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 3 && b.top < a.bottom - 3)).length
    })
    expect(names, `${name}: labels collide`).toBe(0)
    await sound(page)
    await picture(page, info, `size-${name}`)
  }
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
  await expect.poll(() => sent).toEqual([{ action: 'takeoff', value: 18, unit: 'ml_per_min' }])
})

test('on paper: the sentence, the strip with its jars and what happened, nothing cut', async ({ site: page }, info) => {
  await openExample(page)
  await rehearse(page, '600')
  await expect(page.getByRole('list').getByText(/first vapour/i).first()).toBeAttached({ timeout: 60_000 })
  await speed(page, 'pause')
  await page.emulateMedia({ media: 'print' })
  // An A4 page less its margins, at 96 dots per inch.
  await page.setViewportSize({ width: 718, height: 1000 })
  for (const gone of ['.foot', '.ageline', '.side']) await expect(page.locator(gone)).toBeHidden()
  for (const there of ['.say h1', '.strip svg', '.happened li']) await expect(page.locator(there).first()).toBeVisible()
  const strip = await page.locator('.strip svg').boundingBox()
  expect((strip?.x ?? 0) + (strip?.width ?? 0)).toBeLessThanOrEqual(718)
  expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(718)
  expect(await page.evaluate(() => getComputedStyle(document.body).backgroundColor)).toBe('rgb(255, 255, 255)')
  await picture(page, info, 'paper', true)
})
