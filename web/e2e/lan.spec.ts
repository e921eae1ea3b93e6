// Other machines: a phone is let in by a code, on a plain-http name; a looker-on records nothing; no text is ever code.
import { expect, type Browser, type Page } from '@playwright/test'
import { middlecut, type Server, test } from './house'

interface Code { code: string; links: string[] }

/** A code, as the terminal tells it. */
async function code(server: Server, ...more: string[]): Promise<string> {
  return (JSON.parse(await middlecut('access', 'code', '--json', '--data', server.data, ...more)) as Code).code
}

/** A browser of its own, as of another machine: by that name nobody is taken for somebody at the computer itself. */
async function phone(browser: Browser, server: Server): Promise<{ page: Page; at: string }> {
  const context = await browser.newContext({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true })
  return { page: await context.newPage(), at: `http://still.local:${server.port}` }
}

async function letIn(page: Page, at: string, told: string, name: string): Promise<void> {
  await page.goto(`${at}/pair#${told}`)
  await expect.poll(() => new URL(page.url()).hash, 'the code is out of the address').toBe('')
  await page.getByLabel(/What this browser is called/).fill(name)
  await page.getByRole('button', { name: 'Let me in' }).click()
  await expect(page.getByRole('button', { name: 'Try the example' })).toBeVisible()
}

test('two phones are let in, see the same, and one is turned out', async ({ browser, server }) => {
  await server.stop()
  await server.start(0, ['--host', 'still.local'])
  const [attends, looks] = [await phone(browser, server), await phone(browser, server)]
  await attends.page.goto(attends.at)
  await expect(attends.page.getByRole('heading', { name: 'Let this browser in' })).toBeVisible()
  await attends.page.getByLabel('Code').fill('0000-0000-0000-0000')
  await attends.page.getByRole('button', { name: 'Let me in' }).click()
  await expect(attends.page.getByRole('status')).toContainText('wrong')
  const told = await code(server)
  await letIn(attends.page, attends.at, told, 'phone in the shed')
  expect(await attends.page.evaluate(() => document.cookie), 'no script sees the session').toBe('')
  await letIn(looks.page, looks.at, await code(server, '--looker-on'), 'kitchen')
  const write = (page: Page): Promise<number> => page.evaluate(async () => {
    const headers = { 'content-type': 'application/json' }
    return (await fetch('/api/house/own', { method: 'PUT', headers, body: JSON.stringify({ name: 'Copper', kind: 'pot', boiler_litres: 25, elements_watts: [2000] }) })).status
  })
  expect(await write(looks.page)).toBe(403)
  expect(await write(attends.page)).toBe(200)
  const again = await attends.page.evaluate(async (used) => {
    const headers = { 'content-type': 'application/json' }
    return (await fetch('/api/access/pair', { method: 'POST', headers, body: JSON.stringify({ code: used }) })).status
  }, told)
  expect(again, 'a code is used once').toBe(403)
  // The panel: who is in, a code for one more, and the door.
  await attends.page.reload()
  await attends.page.getByRole('button', { name: 'Open my still' }).click()
  await expect(attends.page).toHaveURL(/#\/plan/)
  await attends.page.goto(`${attends.at}/#/still`)
  const panel = attends.page.getByRole('region', { name: 'Other devices' })
  await expect(panel).toContainText('kitchen')
  const row = panel.getByRole('listitem').filter({ hasText: 'kitchen' })
  await row.getByRole('button', { name: 'Turn out' }).click()
  await expect(panel.getByRole('listitem').filter({ hasText: 'kitchen' })).toHaveCount(0)
  await looks.page.goto(`${looks.at}/`)
  await expect(looks.page.getByRole('heading', { name: 'Let this browser in' })).toBeVisible()
  for (const { page } of [attends, looks]) await page.context().close()
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
