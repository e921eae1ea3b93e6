// A whole rehearsal driven from the page: hearts, the prompt in time, jars, the end, and the same events again from the folder.
import { expect, type Page } from '@playwright/test'
import { execFileSync } from 'node:child_process'
import { mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { middlecut, openExample, picture, rehearse, sound, speed, test } from './house'

interface Said { time_s: number; kind: string; code: string; text: string }
interface Snapshot { advice: { state: string; rise_k: number | null; end: object | null; jars: { status: string }[] }; events: Said[]; readings: { time_s: number[]; rise_k: (number | null)[] } }

const UNTIL_MS = 180_000

async function snapshot(page: Page): Promise<Snapshot> {
  const id = page.url().split('/run/')[1] ?? ''
  return (await (await page.request.get(`${new URL(page.url()).origin}/api/runs/${id}`)).json()) as Snapshot
}

test('a whole rehearsal from the page, replayed from its folder', async ({ site: page, server }, info) => {
  test.setTimeout(420_000)
  await openExample(page)
  await rehearse(page, '600')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('hearts', { timeout: UNTIL_MS })
  await speed(page, '60×')
  await picture(page, info, 'hearts')
  await sound(page)

  // The prompt is on the page before the head has risen 1 K above the plateau.
  await expect(page.getByText(/end of the hearts is near|hearts end here|fast part of the hearts is over/i).first()).toBeAttached({ timeout: UNTIL_MS })
  const near = await snapshot(page)
  const prompt = near.events.find((event) => event.code === 'hearts_end_near' || event.code === 'slow_phase')
  expect(prompt).toBeDefined()
  const hearts = near.events.find((event) => event.kind === 'step' && event.code === 'hearts')?.time_s ?? 0
  const risen = near.readings.time_s.findIndex((time, i) => time > hearts + 60 && (near.readings.rise_k[i] ?? 0) >= 1)
  if (risen >= 0) expect(prompt?.time_s).toBeLessThan(near.readings.time_s[risen] ?? 0)
  expect(near.advice.jars.filter((jar) => jar.status === 'filled').length).toBeGreaterThan(1)
  await picture(page, info, 'hearts-end')

  await speed(page, '600×')
  await expect(page.getByRole('link', { name: 'Take the run folder' })).toBeVisible({ timeout: UNTIL_MS })
  await picture(page, info, 'ended', true)
  await sound(page)
  const ended = await snapshot(page)
  expect(ended.advice.end).not.toBeNull()

  const download = page.waitForEvent('download')
  await page.getByRole('link', { name: 'Take the run folder' }).click()
  const folder = mkdtempSync(join(tmpdir(), 'middlecut-folder-'))
  const zip = join(folder, 'run.zip')
  await (await download).saveAs(zip)
  execFileSync('python3', ['-m', 'zipfile', '-e', zip, join(folder, 'run')])
  const run = execFileSync('find', [join(folder, 'run'), '-name', 'run.toml'], { encoding: 'utf8' }).trim().replace(/\/run\.toml$/, '')
  const replayed = JSON.parse(await middlecut('replay', run, '--json')) as { events: Said[] }
  const told = (events: Said[]) => events.map(({ time_s, kind, code, text }) => ({ time_s, kind, code, text }))
  expect(told(replayed.events)).toEqual(told(ended.events))
  expect(server.address).toContain('127.0.0.1')
})
