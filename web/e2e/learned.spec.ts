// With the program's own answers: a rehearsal shows its outlook, teaches the simulated still, and the Still page shows what it taught.
import { expect } from '@playwright/test'
import { goTo, openExample, picture, rehearse, sound, speed, test } from './house'

interface Quantiles { p025: number; p10: number; p50: number; p90: number; p975: number }
interface Outlook { made_at_s: number; plan_end: { time_s: Quantiles; litres: Quantiles } | null; strength_now: Quantiles }
interface Snapshot { advice: { time_s: number; outlook: Outlook | null }; plan: { still: { name: string } } }

test('a rehearsal shows what the estimator knows, and teaches the still', async ({ site: page, server }, info) => {
  test.setTimeout(420_000)
  await openExample(page)
  await rehearse(page, '600')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Collecting hearts', { timeout: 180_000 })
  await expect(page.getByRole('region', { name: 'What is to come' })).toContainText('hearts to come', { timeout: 60_000 })
  await speed(page, 'pause')
  const id = page.url().split('/run/')[1] ?? ''
  const seen = (await (await page.request.get(`${server.address}/api/runs/${id}`)).json()) as Snapshot
  const outlook = seen.advice.outlook
  expect(outlook).not.toBeNull()
  expect(outlook?.made_at_s).toBeLessThanOrEqual(seen.advice.time_s)
  for (const of of [outlook?.plan_end?.time_s, outlook?.plan_end?.litres, outlook?.strength_now]) {
    const levels = of ? [of.p025, of.p10, of.p50, of.p90, of.p975] : []
    expect(levels.length).toBe(5)
    expect(levels).toEqual([...levels].sort((a, b) => a - b))
  }
  await expect(page.locator('.say')).toContainText(/hearts should end about \d\d:\d\d|cannot be told now/i)
  await expect(page.getByText('What would make it surer')).toBeVisible()
  await sound(page)
  await picture(page, info, 'outlook-real')
  await page.setViewportSize({ width: 390, height: 844 })
  await sound(page)
  await picture(page, info, 'outlook-real-phone', true)
  await page.setViewportSize({ width: 1280, height: 800 })

  await speed(page, '2000×')
  await expect(page.getByRole('link', { name: 'Take the run folder' })).toBeVisible({ timeout: 180_000 })
  const balance = page.getByRole('region', { name: 'Where the alcohol went' })
  await expect(balance).toContainText('charged', { timeout: 60_000 })
  await balance.screenshot({ path: `test-results/screens/${info.project.name}-balance-real.png` })
  await balance.getByRole('button', { name: 'Learn from this rehearsal' }).click()
  await expect(page.getByText('The still has learned from it')).toBeVisible({ timeout: 120_000 })
  await goTo(page, 'Still')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('1 rehearsal')
  await expect(page.getByRole('img', { name: /^stages it really has, after each run/ })).toBeVisible()
  await page.getByRole('button', { name: 'Draw them' }).click()
  await expect(page.getByRole('img', { name: /^Rise of the head against pure alcohol taken, 1 run/ })).toBeVisible()
  await sound(page)
  await picture(page, info, 'learned-real', true)
})
