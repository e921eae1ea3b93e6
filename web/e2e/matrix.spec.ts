// By hand, `cargo xtask page-trials`: phone and tablet, by the loopback address, by a plain-http name and by IPv6.
import { expect, type Browser, type TestInfo } from '@playwright/test'
import { networkInterfaces } from 'node:os'
import { Air, alarmHeard, both, CODES_EVERYWHERE, device, type Device, dropped, letIn, code, pairing, status, twoAtOnce } from './devices'
import { type Server, test } from './house'
import { seen } from './table'

test.skip(!process.env.MIDDLECUT_LONG, 'the check tries a part of it')

const PLACES = [['loopback', '127.0.0.1'], ['plain-http name', 'still.local']] as const
const KINDS: [Device, Device][] = [['phone', 'tablet'], ['tablet', 'phone']]

/** Two devices of one address, let in; the first may attend, the second too. */
async function two(browser: Browser, server: Server, host: string, kinds: [Device, Device], more: string[] = []) {
  await server.stop()
  await server.start(0, [...CODES_EVERYWHERE, ...more])
  const [air, otherAir] = [await Air.before(host, server.port), await Air.before(host, server.port)]
  const [at, otherAt] = [`http://${host}:${air.port}`, `http://${host}:${otherAir.port}`]
  const [one, other] = [await device(browser, kinds[0]), await device(browser, kinds[1])]
  const errors: string[] = []
  for (const page of [one, other]) page.on('pageerror', (error) => errors.push(error.message))
  const close = async (): Promise<void> => {
    for (const page of [one, other]) await page.context().close()
    air.close()
    otherAir.close()
    expect(errors, 'errors of a script').toEqual([])
  }
  return { one, other, at, otherAt, air, close }
}

for (const [place, host] of PLACES) {
  for (const kinds of KINDS) {
    const row = (info: TestInfo, part: string, what: string): void => seen(info, part, place, kinds[0], what)

    test(`pairing | ${place} | ${kinds[0]}`, async ({ browser, server }, info) => {
      const { one, other, at, otherAt, close } = await two(browser, server, host, kinds)
      await pairing(one, at, server, `the ${kinds[0]}`)
      await letIn(other, otherAt, await code(server, '--looker-on'), `the ${kinds[1]}`)
      const own = { name: 'Copper', kind: 'pot', boiler_litres: 25, elements_watts: [2000] }
      const answers = [await status(other, 'PUT', '/api/house/own', own), await status(one, 'PUT', '/api/house/own', own)]
      expect(answers).toEqual([403, 200])
      const cookie = (await one.context().cookies()).find(({ name }) => name.startsWith('middlecut'))
      expect([cookie?.httpOnly, cookie?.sameSite]).toEqual([true, 'Strict'])
      row(info, 'pairing', 'a wrong code refused, a code used once, the second use 403; cookie HttpOnly, SameSite=Strict; attendant writes 200, looker-on 403')
      await close()
    })

    test(`two at once, a dropped stream | ${place} | ${kinds[0]}`, async ({ browser, server }, info) => {
      test.setTimeout(120_000)
      const { one, other, at, otherAt, air, close } = await two(browser, server, host, kinds)
      await letIn(one, at, await code(server), `the ${kinds[0]}`)
      await letIn(other, otherAt, await code(server), `the ${kinds[1]}`)
      await both(one, other, otherAt)
      row(info, 'two people at once', await twoAtOnce(one, other))
      row(info, 'stream cut and resumed', await dropped(one, air, 'cut', other, 'the lamp went out'))
      row(info, 'stream silent and resumed', await dropped(one, air, 'silence', other, 'the lamp is on again'))
      await close()
    })

    test(`an alarm that sounds after a tap | ${place} | ${kinds[0]}`, async ({ browser, server }, info) => {
      test.setTimeout(120_000)
      const { one, other, at, otherAt, close } = await two(browser, server, host, kinds)
      await letIn(one, at, await code(server), `the ${kinds[0]}`)
      await letIn(other, otherAt, await code(server), `the ${kinds[1]}`)
      await both(one, other, otherAt)
      row(info, 'alarm sounds after a tap', await alarmHeard(one))
      await close()
    })
  }
}

/** An address of IPv6 that this machine has in its network; a browser takes none that needs the name of a link. */
const ofNetwork = Object.values(networkInterfaces()).flat().find((one) => one?.family === 'IPv6' && !one.internal && !one.address.startsWith('fe80'))?.address

for (const [name, host] of [['[::1]', '[::1]'], ['a name that is ::1', 'six.local'], ['an address of the network', ofNetwork ? `[${ofNetwork}]` : null]] as const) {
  test(`serve --lan by IPv6 | ${name}`, async ({ browser, server }, info) => {
    test.skip(host === null, 'this machine has no such address')
    test.setTimeout(120_000)
    const { one, other, at, otherAt, air, close } = await two(browser, server, host ?? '', ['tablet', 'phone'], ['--lan'])
    await pairing(one, at, server, 'the tablet')
    await letIn(other, otherAt, await code(server), 'the phone')
    const cookie = (await one.context().cookies()).find(({ name }) => name.startsWith('middlecut'))
    expect([cookie?.httpOnly, cookie?.sameSite]).toEqual([true, 'Strict'])
    await both(one, other, otherAt)
    seen(info, 'IPv6: pairing, cookie', host ?? '', 'tablet', `let in by a code; cookie of ${cookie?.domain ?? '?'} HttpOnly, SameSite=Strict`)
    seen(info, 'IPv6: stream, two at once', host ?? '', 'tablet', await twoAtOnce(one, other))
    seen(info, 'IPv6: stream cut and resumed', host ?? '', 'tablet', await dropped(one, air, 'cut', other, 'the lamp went out'))
    await close()
  })
}

test('serve --lan by IPv6 without a proxy | [::1] is this computer', async ({ browser, server }, info) => {
  await server.stop()
  await server.start(0, ['--lan', '--host', 'six.local'])
  const page = await device(browser, 'tablet')
  await page.goto(`http://[::1]:${server.port}`)
  await expect(page.getByRole('button', { name: 'Try the example' })).toBeVisible()
  seen(info, 'IPv6: this computer itself', '[::1]', 'tablet', 'no code is asked for')
  await page.goto(`http://six.local:${server.port}`)
  await expect(page.getByRole('heading', { name: 'Let this browser in' })).toBeVisible()
  seen(info, 'IPv6: by a name', 'six.local', 'tablet', 'a code is asked for')
  await page.context().close()
})
