// The long form alone: every state of a run and every page, on a phone, a tablet and a desk, by day and in the dark.
import { expect, type Page } from '@playwright/test'
import { join } from 'node:path'
import { finished, mixed, rehearsed, takenIn, washed } from './chain'
import { attend, elsewhere, event, goTo, lay, layable, openExample, ownChecks, rehearse, runId, speed, test, told } from './house'
import { FOLDER, look } from './looked'

test.skip(process.env.MIDDLECUT_LOOKS !== 'all', 'the check tries the looks without pictures')

const far = async (page: Page, name: string): Promise<void> => {
  await page.keyboard.press('f')
  await expect(page.getByRole('dialog', { name: 'Far view' })).toBeVisible()
  await look(page, name)
  await page.keyboard.press('Escape')
}

test('a run without a stand-in, from the check list to its end', async ({ site: page }) => {
  test.setTimeout(570_000)
  await look(page, 'start')
  await openExample(page)
  await look(page, 'plan')
  await rehearse(page, '60', false)
  await look(page, 'run-01-before')
  await page.getByRole('button', { name: /^Heater is on/ }).click()
  await attend(page, 60, ({ time_s }) => time_s > 300)
  await look(page, 'run-02-heating')
  await far(page, 'run-02-far-heating')
  await page.request.put(`${new URL(page.url()).origin}/api/runs/${runId(page)}/speed`, { data: { speed: 400 } })
  await expect.poll(async () => (await told(page)).knowledge.instruction?.act?.do, { timeout: 60_000 }).toBe('coolant')
  await speed(page, 'pause')
  await look(page, 'run-03-coolant')
  const until = async (name: string, done: (known: Awaited<ReturnType<typeof told>>['knowledge']) => boolean, rate = 400, act = true): Promise<void> => {
    await attend(page, rate, done, act)
    await page.waitForTimeout(1500)
    await look(page, name)
  }
  await until('run-04-begin-equalising', ({ instruction }) => instruction?.now === true && instruction.act?.do === 'begin', 400, false)
  await until('run-05-settling', ({ state }) => state === 'equalising', 100)
  const since = (await told(page)).knowledge.time_s
  await until('run-06-settling-on', ({ time_s }) => time_s > since + 240, 100)
  await until('run-07-foreshots', ({ state }) => state === 'foreshots')
  await until('run-08-heads', ({ state }) => state === 'heads')
  await until('run-09-hearts', ({ state }) => state === 'hearts')
  const hearts = (await told(page)).knowledge.time_s
  await until('run-10-hearts-on', ({ time_s }) => time_s > hearts + 1500)
  await far(page, 'run-10-far-hearts')
  await until('run-11-prompt-near', ({ instruction, state }) => state === 'hearts' && instruction?.now === true && instruction.act?.do === 'begin', 200, false)
  await far(page, 'run-11-far-prompt')
  await until('run-12-slow-hearts', ({ state }) => state === 'slow_hearts')
  await until('run-13-tails', ({ state }) => state === 'tails')
  await attend(page, 200, ({ instruction }) => instruction?.now === true && (instruction.act?.do === 'heater' || instruction.act?.do === 'begin'), false)
  await page.waitForTimeout(1000)
  await look(page, 'run-14-heat-off')
  await elsewhere(page, 'actions', { action: 'heater', value: 0, unit: 'W' })
  await until('run-15-cooling', ({ state }) => state === 'cooling_down', 60)
  await page.request.put(`${new URL(page.url()).origin}/api/runs/${runId(page)}/speed`, { data: { speed: 400 } })
  for (let i = 0; i < 200; i += 1) {
    const known = (await told(page)).knowledge
    if (known.state === 'ended') break
    if (known.instruction?.now) await elsewhere(page, 'actions', { action: 'coolant', value: 0, unit: 'l_per_min' }).catch(() => null)
    await page.waitForTimeout(200)
  }
  await page.waitForTimeout(4000)
  await look(page, 'run-16-ended')
  await goTo(page, 'Jars')
  await page.waitForTimeout(1500)
  await look(page, 'jars-rehearsed')
})

const listed = (code: string, words: string, state: string, more: object = {}): object => ({ code, words, state, priority: 'high', raised_s: 3000, follows: null, chatters: false, stands_long: false, ...more })
const ALARM = { kind: 'alarm', code: 'coolant_loss', text: 'The coolant is lost.', how_sure: 'The flow meter reads 0.0 L/min and the outlet has risen by 12 °C in 40 s.', do: 'Heat off now, then look at the hose.', within_s: 60 }

test('alarms of each priority, readings lost, interrupted, quiet', async ({ site: page }) => {
  test.setTimeout(300_000)
  await layable(page)
  await openExample(page)
  await rehearse(page, '60', false)
  await page.getByRole('button', { name: /^Heater is on/ }).click()
  await attend(page, 1000, ({ state }) => state === 'hearts')
  const hearts = (await told(page)).knowledge.time_s
  await attend(page, 400, ({ time_s }) => time_s > hearts + 900)
  const shown = async (over: Record<string, unknown> | null, name: string): Promise<void> => {
    await lay(page, over)
    await page.reload()
    await expect(page.getByRole('img', { name: /^Run strip/ })).toBeVisible()
    await page.waitForTimeout(1500)
    await look(page, name)
  }
  for (const priority of ['critical', 'high', 'medium', 'low']) {
    const one = event({ ...ALARM, priority })
    await shown({ alarms: [one], seen: [], alarm_list: [listed('coolant_loss', 'coolant', 'active_unseen', { priority })] }, `alarm-${priority}`)
  }
  const both = [event({ ...ALARM, priority: 'critical' }), event({ ...ALARM, code: 'spirit_warm', text: 'The spirit comes warm.', priority: 'high' })]
  await shown({ alarms: both, seen: ['coolant_loss'], alarm_list: [listed('coolant_loss', 'coolant', 'active_seen', { priority: 'critical' }), listed('spirit_warm', 'warm spirit', 'active_unseen', { follows: 'coolant_loss' })] }, 'alarm-seen-and-follower')
  const channel = (name: string, words: string, quality: string): object => ({ name, words, value: quality === 'good' ? 20 : null, age_s: quality === 'good' ? 1 : 48, quality, reason: null })
  await shown({
    quiet: [{ code: 'cover_near', until_s: 9000, reason: 'filling up' }],
    alarm_list: [listed('coolant_loss', 'coolant', 'active_seen', { priority: 'critical' }), listed('spirit_warm', 'warm spirit', 'cleared_unseen', { follows: 'coolant_loss', chatters: true }), listed('cover_near', 'the cover line', 'quiet')],
    suppressed: [{ code: 'boil_over', words: 'a boil-over', because: 'the still does not boil' }],
    channels: [channel('head_c', 'head thermometer', 'good'), channel('pot_c', 'pot thermometer', 'good'), channel('coolant_l_per_min', 'coolant flow meter', 'good'), channel('coolant_out_c', 'coolant outlet thermometer', 'stale'), channel('heater_w', 'heater power meter', 'good')],
  }, 'quiet-list')
  await lay(page, null)
  await page.reload()
  await elsewhere(page, 'actions', { action: 'heater', value: 0, unit: 'W' })
  await attend(page, 60, ({ state }) => state === 'interrupted', false)
  await page.waitForTimeout(1500)
  await look(page, 'interrupted')
  await page.keyboard.press('q')
  await look(page, 'pad-quiet')
  await page.keyboard.press('Escape')
  await page.waitForTimeout(700)
  await page.keyboard.press('t')
  await look(page, 'pad-takeoff')
  await page.keyboard.press('Escape')
})

test('a run of one\'s own: readings lost, an end, given up; several stills', async ({ site: page }) => {
  test.setTimeout(240_000)
  await page.getByRole('button', { name: 'Describe my still' }).click()
  await look(page, 'own-still')
  await page.reload()
  await ownChecks(page)
  await look(page, 'own-01-checks')
  await page.getByRole('button', { name: /^Heater is on/ }).click()
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Heating')
  await look(page, 'own-02-heating-by-hand')
  for (let i = 0; i < 8; i += 1) {
    await elsewhere(page, 'readings', { rows: [{ head_c: 24.1 + i / 10, pot_c: 40 + i / 5, heater_w: 2200 + (i % 2), coolant_in_c: 14 + i / 10, coolant_out_c: 15 - i / 10 }] })
    await page.waitForTimeout(1000)
  }
  await look(page, 'own-03-probes')
  await page.waitForTimeout(40_000)
  await look(page, 'own-04-readings-lost')
  await page.waitForTimeout(40_000)
  await look(page, 'own-05-readings-lost-on')
  const run = page.url()
  for (const place of ['Plan', 'Still', 'Jars', 'Bench', 'Wash', 'Books', 'Run']) {
    await goTo(page, place)
    await page.waitForTimeout(600)
    await look(page, `own-${place.toLowerCase()}`)
  }
  await page.goto(run)
  await elsewhere(page, 'abandon', { reason: 'the gasket leaks' })
  await page.waitForTimeout(1500)
  await look(page, 'own-06-abandoned')
})

test('the chain, its books, several stills', async ({ site: page, server }) => {
  test.setTimeout(240_000)
  await page.getByRole('button', { name: 'Describe my still' }).click()
  await page.getByLabel('its name').fill('Shed still')
  await page.locator('label', { hasText: 'pot' }).first().click()
  await page.getByLabel(/heater, W/).fill('500 + 1700')
  await page.getByRole('button', { name: 'Keep this still' }).click()
  await goTo(page, 'Books')
  await washed(page)
  await goTo(page, 'Wash')
  await page.waitForTimeout(600)
  await look(page, 'chain-wash')
  await goTo(page, 'Plan')
  await look(page, 'chain-plan')
  await rehearsed(page)
  await page.waitForTimeout(2000)
  await look(page, 'chain-rehearsed')
  const sheet = await page.context().newPage()
  await sheet.goto(`${server.address}/api/runs/${runId(page)}/sheet`)
  await sheet.setViewportSize({ width: 794, height: 1123 })
  await sheet.emulateMedia({ media: 'print' })
  await sheet.screenshot({ path: join(FOLDER, 'sheet-after.png'), fullPage: true })
  await sheet.close()
  await takenIn(page)
  await mixed(page)
  await look(page, 'chain-bench')
  await finished(page)
  await look(page, 'chain-bench-finished')
  await goTo(page, 'Jars')
  await page.waitForTimeout(800)
  await look(page, 'chain-jars')
  await goTo(page, 'Books')
  await page.waitForTimeout(800)
  await look(page, 'chain-books')
  await goTo(page, 'Plan')
  await rehearse(page, '600')
  await expect.poll(async () => (await told(page)).knowledge.time_s, { timeout: 20_000 }).toBeGreaterThan(1500)
  await speed(page, 'pause')
  await goTo(page, 'Plan')
  await rehearse(page, '60')
  await speed(page, 'pause')
  await goTo(page, 'Run')
  await page.waitForTimeout(1000)
  await look(page, 'several-stills')
  await goTo(page, 'Still')
  await page.waitForTimeout(800)
  await look(page, 'chain-still')
})
