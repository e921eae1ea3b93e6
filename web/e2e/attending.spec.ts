// All running stills on one clock, which needs a person next, and an alarm of a run on a page that is not its own.
import { expect, type Page } from '@playwright/test'
import { event, goTo, openExample, pictures, rehearse, runId, speed, test, told, type Told } from './house'

interface Line { id: string; need: string; words: string; in_s: number; alarms: object[] }

/** What the program tells of its runs, with need and alarms as the test has it. */
async function tell(page: Page, lines: () => Line[]): Promise<void> {
  await page.route('**/api/attending', async (route) => {
    const origin = new URL(page.url()).origin
    const runs = await Promise.all(lines().map(async ({ id, need, words, in_s, alarms }) => {
      const run = await (await fetch(`${origin}/api/runs/${id}`)).json() as Told & { title: string; plan: { still: { name: string } }; knowledge: { headline: string; step: { name: string }; ends: object[] } }
      const { time_s, state, headline, step, ends } = run.knowledge
      return { id, title: run.title, still: run.plan.still.name, mode: 'rehearsal', example: true, speed: 0, need, words, in_s, now: { time_s, started_ms: run.started_ms, state, headline, step: step.name, ends, alarms, seen: [], prompts: [], attendant_left_s: 500 } }
    }))
    await route.fulfill({ json: { now_ms: Date.now(), next: runs[0]?.id ?? null, runs } })
  })
}

test('two stills stand as ribbons on one clock, the one that needs a person first; an alarm is seen on every page', async ({ site: page }, info) => {
  test.setTimeout(120_000)
  await openExample(page)
  await rehearse(page, '600')
  await expect.poll(async () => (await told(page)).knowledge.time_s, { timeout: 20_000 }).toBeGreaterThan(1500)
  await speed(page, 'pause')
  const first = runId(page)
  await goTo(page, 'Plan')
  await rehearse(page, '60')
  await speed(page, 'pause')
  const second = runId(page)
  let alarms: object[] = []
  await tell(page, () => [
    { id: second, need: alarms.length ? 'alarm' : 'due', words: alarms.length ? 'The coolant is lost.' : 'Open the coolant.', in_s: 0, alarms },
    { id: first, need: 'comes', words: 'Hearts should end', in_s: 1500, alarms: [] },
  ])
  await goTo(page, 'Run')
  const ribbons = page.getByRole('region', { name: 'Running stills on one clock' })
  await expect(ribbons.locator('ol > li')).toHaveCount(2)
  await expect(page.locator('.say .next')).toContainText(/Now: .*Open the coolant\./)
  await expect(ribbons.locator('ol > li').first().getByRole('link')).toHaveAttribute('href', `#/run/${second}`)
  await expect(ribbons.locator('ol > li').nth(1)).toContainText('Hearts should end, in 25\u00a0min.')
  await expect(ribbons.locator('ol > li').nth(1).locator('rect').nth(1), 'the steps so far').toBeAttached()
  await pictures(page, info, 'ribbons')

  alarms = [event({ kind: 'alarm', code: 'coolant_loss', priority: 'critical', text: 'The coolant is lost.', do: 'Heat off now.' })]
  await goTo(page, 'Bench')
  const alarm = page.getByRole('alert').filter({ hasText: 'The coolant is lost. Heat off now.' })
  await expect(alarm).toBeVisible({ timeout: 8000 })
  await expect(alarm.getByRole('link', { name: 'Go there now' })).toHaveAttribute('href', `#/run/${second}`)
  await expect(page.getByText(/sound (not )?armed/)).toBeVisible()
  await pictures(page, info, 'alarm-elsewhere')
  await page.unroute('**/api/attending')
  await page.route('**/api/attending', (route) => route.abort())
  await expect(page.getByRole('alert').filter({ hasText: 'a run was going on' })).toBeVisible({ timeout: 10_000 })
})
