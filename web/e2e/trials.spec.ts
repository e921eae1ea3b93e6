// By hand, `cargo xtask page-trials`: what is measured of the page on a desk, measured on a phone and a tablet, at each address.
import { CODES_EVERYWHERE, code, device, type Device, letIn } from './devices'
import { test } from './house'
import { firstPaint, frames, LONG, nothingMoves, twelveHours } from './measures'
import { reached } from './reach'
import { seen } from './table'

test.skip(!LONG, 'measures of time: by hand')

for (const [place, host] of [['loopback', '127.0.0.1'], ['plain-http name', 'still.local']] as const) {
  for (const kind of ['phone', 'tablet'] satisfies Device[]) {
    for (const part of ['12 h compressed', 'strip frames, processor slowed 4x', 'layout shift', 'first paint', 'keyboard, axe, 320 px, 200 %, reduced motion, fixed colours'] as const) {
      test(`${part} | ${place} | ${kind}`, async ({ browser, server }, info) => {
        test.setTimeout(900_000)
        await server.stop()
        await server.start(0, CODES_EVERYWHERE)
        const at = `http://${host}:${server.port}`
        const page = await device(browser, kind)
        await letIn(page, at, await code(server), `the ${kind}`)
        const what = part === '12 h compressed' ? await twelveHours(page)
          : part === 'layout shift' ? await nothingMoves(page, at)
          : part === 'first paint' ? await firstPaint(page)
          : part === 'strip frames, processor slowed 4x' ? await frames(page)
          : await reached(page, info)
        seen(info, part, place, kind, what)
        await page.context().close()
      })
    }
  }
}
