// Other machines: a phone is let in by a code, on a plain-http name; a looker-on records nothing; no text is ever code.
import { expect } from '@playwright/test'
import { Air, both, code, device, dropped, heard, letIn, pairing, status, twoAtOnce } from './devices'
import { test } from './house'

// Phone and tablet on each address, and an alarm that is heard: `matrix`, by hand.
test('a phone and a tablet are let in by a name, act at once, lose the stream and have it back; one is turned out', async ({ browser, server }) => {
  test.setTimeout(120_000)
  await server.stop()
  await server.start(0, ['--host', 'still.local'])
  const air = await Air.before('still.local', server.port)
  const [at, looksAt] = [`http://still.local:${server.port}`, `http://still.local:${air.port}`]
  const [attends, looks] = [await device(browser, 'phone'), await device(browser, 'tablet')]
  await pairing(attends, at, server, 'phone in the shed')
  await letIn(looks, looksAt, await code(server, '--looker-on'), 'kitchen')
  const own = { name: 'Copper', kind: 'pot', boiler_litres: 25, elements_watts: [2000] }
  expect(await status(looks, 'PUT', '/api/house/own', own)).toBe(403)
  expect(await status(attends, 'PUT', '/api/house/own', own)).toBe(200)
  await looks.context().clearCookies()
  await letIn(looks, looksAt, await code(server), 'tablet on the bench')
  await both(attends, looks, looksAt)
  await heard(attends)
  await twoAtOnce(attends, looks)
  await dropped(looks, air, 'cut', attends, 'the lamp went out', 500)
  // The panel: who is in, a code for one more, and the door.
  await attends.goto(`${at}/#/`)
  await attends.reload()
  await attends.getByRole('button', { name: 'Open my still' }).click()
  await expect(attends).toHaveURL(/#\/plan/)
  await attends.goto(`${at}/#/still`)
  const panel = attends.getByRole('region', { name: 'Other devices' })
  await expect(panel).toContainText('kitchen')
  const row = panel.getByRole('listitem').filter({ hasText: 'tablet on the bench' })
  await row.getByRole('button', { name: 'Turn out' }).click()
  await expect(panel.getByRole('listitem').filter({ hasText: 'tablet on the bench' })).toHaveCount(0)
  await looks.goto(`${looksAt}/`)
  await expect(looks.getByRole('heading', { name: 'Let this browser in' })).toBeVisible()
  for (const page of [attends, looks]) await page.context().close()
  air.close()
})

test('no text that somebody gives is ever code', async ({ site, server }) => {
  const evil = '<img src=x onerror="window.taken=1"><script>window.taken=1</script>'
  const send = async (method: string, path: string, body: unknown): Promise<Record<string, unknown>> => {
    const answer = await fetch(`${server.address}${path}`, { method, headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) })
    expect(answer.status, `${method} ${path}`).toBeLessThan(300)
    return answer.status === 204 ? {} : ((await answer.json()) as Record<string, unknown>)
  }
  const short = evil.slice(0, 58)
  await send('PUT', '/api/house/own', { name: short, kind: 'column', boiler_litres: 25, elements_watts: [2000] })
  const house = (await (await fetch(`${server.address}/api/house`)).json()) as { example: { plans: Record<string, unknown>[] } }
  const { id: _, ...plan } = structuredClone(house.example.plans[0]!)
  const named = { ...plan, still: { ...(plan.still as object), name: short } }
  await send('PUT', '/api/plans', { name: short, plan: named })
  const { id } = (await send('POST', '/api/runs', { plan: named, mode: 'real', started: true })) as { id: string }
  const run = `/api/runs/${id}`
  await send('PUT', `${run}/name`, { name: evil })
  await send('POST', `${run}/notes`, { text: evil })
  await send('POST', `${run}/checks`, { ticked: [evil], by: evil })
  await send('POST', `${run}/actions`, { action: 'note', note: evil })
  await send('POST', '/api/access/devices', { still: short, name: short })
  await site.reload()
  await site.getByRole('button', { name: 'Open my still' }).click()
  await expect(site).toHaveURL(/#\/plan/)
  const look = async (address: string): Promise<void> => {
    await site.goto(`${server.address}/${address}`)
    await site.reload()
    await expect(site.locator('main')).toContainText('<img src=x')
    expect(await site.evaluate(() => (window as unknown as { taken?: number }).taken)).toBeUndefined()
    expect(await site.locator('img[src="x"]').count()).toBe(0)
  }
  await look('#/still')
  await look(`#/run/${id}`)
  await send('POST', `${run}/abandon`, { reason: evil })
  await look(`#/run/${id}`)
  await look('#/run')
  await site.goto(`${server.address}${run}/sheet`)
  await expect(site.locator('body')).toContainText('<img src=x')
  expect(await site.locator('img, script').count()).toBe(0)
})
