// The run in every state: its sentence, its first key, its drawing, the far view; readings that are lost, alarms held quiet.
import { expect, type Page } from '@playwright/test'
import { lay, layable, narrowEnough, openExample, picture, rehearse, speed, test, type Over } from './house'

const due = (text: string, act: object | null): object => ({ code: 'x', text, now: true, due: null, from: 'seen', act })
const begin = (step: number): object => ({ do: 'begin', step, after: step - 1 })

/** State, what is laid over what is known, the first key, the word of the far view. */
const STATES: [string, Over, RegExp | null, string][] = [
  ['equalising', { headline: 'Equalising. Steady for 6 of 10 min.', instruction: due('open the take-off', begin(2)) }, /^Begin foreshots/, 'Equalising'],
  ['foreshots', { headline: 'Taking foreshots into jar 1.', instruction: due('a new jar', { do: 'jar', number: 2 }) }, /^New jar/, 'Foreshots'],
  ['slow_hearts', { headline: 'Hearts, slowly.', instruction: due('begin the tails', begin(6)) }, /^Begin tails/, 'Slow hearts'],
  ['tails', { headline: 'Taking tails.', instruction: due('take the heat off', { do: 'heater', watts: 0 }) }, /^Heat is off/, 'Tails'],
  ['cooling_down', { headline: 'Heat is off; coolant on until 16:20.', instruction: due('coolant off', { do: 'coolant', l_per_min: 0 }) }, /^Coolant is off/, 'Cooling'],
  ['interrupted', { headline: 'The heat is off in mid-run; the jars so far stay valid.', instruction: due('close the take-off', null), ends: [] }, /go on$/, 'Stopped'],
]

const listed = (code: string, words: string, state: string, more: object = {}): object => ({ code, words, state, priority: 'high', raised_s: 3000, follows: null, chatters: false, stands_long: false, ...more })

const shown = async (page: Page, over: Over): Promise<void> => {
  await lay(page, over)
  await page.reload()
  await expect(page.getByRole('img', { name: /^Run strip/ })).toBeVisible()
}

test('each state has its sentence, its first key, its drawing and its word across the shed', async ({ site: page }, info) => {
  test.setTimeout(60_000)
  await layable(page)
  await openExample(page)
  await rehearse(page, '60')
  await speed(page, 'pause')
  for (const [state, over, key, far] of STATES) {
    await shown(page, { state, ...over })
    await expect(page.getByRole('heading', { level: 1 })).toHaveText(String(over?.headline))
    if (key) await expect(page.locator('.dueline').getByRole('button', { name: key })).toBeVisible()
    await page.keyboard.press('f')
    await expect(page.getByRole('dialog', { name: 'Far view' }).locator('b').first()).toHaveText(far)
    await page.keyboard.press('Escape')
    await picture(page, info, `state-${state}`)
  }
  // On a phone nothing that is out of order or held quiet is left out for want of room.
  await page.setViewportSize({ width: 390, height: 844 })
  const channel = (name: string, words: string, quality: string): object => ({ name, words, value: quality === 'good' ? 20 : null, age_s: quality === 'good' ? 1 : 48, quality, reason: null })
  await shown(page, {
    state: 'hearts', headline: 'Collecting hearts.', quiet: [{ code: 'cover_near', until_s: 4000, reason: 'filling up' }],
    alarm_list: [listed('coolant_loss', 'coolant', 'active_seen', { priority: 'critical' }), listed('spirit_warm', 'warm spirit', 'cleared_unseen', { follows: 'coolant_loss', chatters: true }), listed('cover_near', 'the cover line', 'quiet')],
    suppressed: [{ code: 'boil_over', words: 'a boil-over', because: 'the still does not boil' }],
    channels: [channel('head_c', 'head thermometer', 'good'), channel('pot_c', 'pot thermometer', 'good'), channel('coolant_l_per_min', 'coolant flow meter', 'good'), channel('coolant_out_c', 'coolant outlet thermometer', 'stale'), channel('heater_w', 'heater power meter', 'good')],
  })
  const alarms = page.getByRole('region', { name: 'Alarms', exact: true })
  await expect(alarms.locator('li', { hasText: 'warm spirit' })).toContainText('its cause is gone, not seen yet; follows from coolant; comes again and again.')
  await expect(alarms.locator('li', { hasText: 'the cover line' })).toContainText(/quiet until .*filling up/)
  await alarms.getByText('Not raised in this phase: 1').click()
  await expect(alarms).toContainText('the still does not boil')
  const ages = page.getByLabel('Age of readings')
  await expect(ages.getByText('lost 48', { exact: false })).toBeVisible()
  await expect(ages.getByText(/quiet until .*filling up/)).toBeVisible()
  await expect(ages.getByText('heater power')).toBeHidden()
  await narrowEnough(page)
  await picture(page, info, 'state-quiet-phone', true)
})
