// A whole rehearsal from the page: the prompt in time, the end, its folder, the alcohol, and what it taught.
import { expect } from '@playwright/test'
import { execFileSync } from 'node:child_process'
import { mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { goTo, openExample, picture, rehearse, sound, test, told } from './house'

test('a whole rehearsal from the page: its folder taken, balanced and learned from', async ({ site: page }, info) => {
  test.setTimeout(240_000)
  await openExample(page)
  await rehearse(page, '2000')
  const over = await page.locator('.places a, .rehearsal button, .rehearsal .mark, .rehearsal input, .end .mark').evaluateAll((all) => {
    const boxes = all.map((one) => [one.textContent, one.getBoundingClientRect()] as const).filter(([, box]) => box.width > 0)
    return boxes.flatMap(([name, a], i) => boxes.slice(i + 1).filter(([, b]) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom).map(([other]) => `${name} ${other}`))
  })
  expect(over, 'in the top line nothing lies over another').toEqual([])
  await expect(page.getByRole('link', { name: 'Take the run folder' })).toBeVisible({ timeout: 180_000 })
  const ended = await told(page)
  expect(ended.knowledge.end).not.toBeNull()
  const { charged_l, drawn_l, held_l, lost_l, left_l } = ended.knowledge.account
  expect(drawn_l.p50 + held_l.p50 + lost_l.p50 + left_l.p50).toBeCloseTo(charged_l.p50, 3)

  // The prompt was said before the head had risen 1 K above the plateau.
  const prompt = ended.events.find((event) => event.code === 'hearts_end_near' || event.code === 'slow_phase')
  expect(prompt).toBeDefined()
  const hearts = ended.events.find((event) => event.kind === 'step' && event.code === 'hearts')?.time_s ?? 0
  const risen = ended.readings.time_s.findIndex((time, i) => time > hearts + 60 && (ended.readings.rise_k[i] ?? 0) >= 1)
  if (risen >= 0) expect(prompt?.time_s).toBeLessThan(ended.readings.time_s[risen] ?? 0)

  // That a replay of this folder says the same again is tried with the server and with the engine.
  const download = page.waitForEvent('download')
  await page.getByRole('link', { name: 'Take the run folder' }).click()
  const zip = join(mkdtempSync(join(tmpdir(), 'middlecut-folder-')), 'run.zip')
  await (await download).saveAs(zip)
  const names = execFileSync('python3', ['-m', 'zipfile', '-l', zip], { encoding: 'utf8' })
  for (const name of ['run.toml', 'readings.csv', 'actions.csv']) expect(names).toContain(`/${name}`)
  expect(ended.events.length).toBeGreaterThan(5)

  const balance = page.getByRole('region', { name: 'Where the alcohol went' })
  await expect(balance).toContainText('charged', { timeout: 60_000 })
  await sound(page)
  await picture(page, info, 'ended', true)
  await balance.getByRole('button', { name: 'Learn from this rehearsal' }).click()
  await expect(page.getByText('The still has learned from it')).toBeVisible({ timeout: 120_000 })
  await goTo(page, 'Still')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('1 rehearsal')
  await page.getByRole('button', { name: 'Draw them' }).click()
  await expect(page.getByRole('img', { name: /^Rise of the head against pure alcohol taken, 1 run/ })).toBeVisible()
  await sound(page)
  await picture(page, info, 'learned-real', true)
})
