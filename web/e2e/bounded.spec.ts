// Twelve hours of a run in a few seconds: what the page holds does not grow, and nothing on it moves by itself.
import { test } from './house'
import { frames, LONG, nothingMoves, twelveHours } from './measures'
import { seen } from './table'

test('twelve hours of a run leave heap, page and wire as they were after six', async ({ site: page }, info) => {
  test.setTimeout(LONG ? 1_200_000 : 60_000)
  seen(info, '12 h compressed', 'loopback', 'desk', await twelveHours(page))
})

test('nothing moves by itself when a page comes', async ({ site: page, server }, info) => {
  seen(info, 'layout shift', 'loopback', 'desk', await nothingMoves(page, server.address))
})

test('the strip follows a finger at 60 frames a second on a computer four times as slow', async ({ site: page }, info) => {
  test.skip(!LONG, 'a measure of time: by hand')
  test.setTimeout(180_000)
  seen(info, 'strip frames, processor slowed 4x', 'loopback', 'desk', await frames(page))
})
