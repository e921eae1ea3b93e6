// The browser suite. A phone is a part of a test, not a project: a browser is then started once for both.
import { defineConfig } from '@playwright/test'

const executablePath = process.env.MIDDLECUT_CHROMIUM ?? '/usr/bin/chromium'
const args = ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync', '--mute-audio', '--host-resolver-rules=MAP still.local 127.0.0.1, MAP six.local [::1]']

const desk = { viewport: { width: 1280, height: 800 }, colorScheme: 'light' } as const
/** A whole run and a whole minute: begun first, so that the short ones go on beside them. */
const LONG = /(whole|away)\.spec\.ts/

export default defineConfig({
  testDir: './e2e',
  outputDir: './test-results/traces',
  fullyParallel: true,
  // Much of a test is waiting for a run: three share two cores, beside the one that waits for a whole minute.
  workers: 4,
  forbidOnly: true,
  retries: 0,
  timeout: 120_000,
  expect: { timeout: 10_000 },
  reporter: process.env.MIDDLECUT_LONG ? [['list'], ['./e2e/table.ts']] : [['list']],
  // A trace of every test costs a third of the whole: a failure leaves its picture, MIDDLECUT_TRACE=1 a trace as well.
  use: { actionTimeout: 15_000, launchOptions: { executablePath, args }, contextOptions: { reducedMotion: 'reduce' }, trace: process.env.MIDDLECUT_TRACE ? 'retain-on-failure' : 'off', screenshot: 'only-on-failure' },
  projects: [
    { name: 'long', testMatch: LONG, use: desk, workers: 2 },
    { name: 'short', testIgnore: LONG, use: desk, workers: 3 },
  ],
})
