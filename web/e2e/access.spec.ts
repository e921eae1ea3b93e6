// Every page by the keyboard alone, in colours that the reader has fixed, small and zoomed, and without a thing that moves.
import { test } from './house'
import { reached } from './reach'
import { seen } from './table'

test('every page is walked by the keyboard alone, small and zoomed, in fixed colours, and nothing moves', async ({ site: page }, info) => {
  test.setTimeout(240_000)
  seen(info, 'keyboard, 320 px, 200 %, reduced motion, fixed colours', 'loopback', 'desk', await reached(page, info))
})
