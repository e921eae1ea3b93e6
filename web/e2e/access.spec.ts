// Every page by the keyboard alone, in colours that the reader has fixed, small and zoomed, and without a thing that moves.
import { expect, type Page } from '@playwright/test'
import { colours, drawn, goTo, narrowEnough, picture, rehearse, speed, test } from './house'

/** Most presses of Tab that a page may take from its first to its last key. */
const TABS_MOST = 160

interface Stop { id: string; name: string; ring: boolean; covered: boolean }

/** Goes through a page by Tab: everything that can be pressed is reached, seen to be, and covered by nothing. */
async function walk(page: Page, where: string): Promise<void> {
  await page.evaluate(() => {
    scrollTo(0, 0)
    document.querySelectorAll('a[href], button, input, select, textarea, summary').forEach((node, i) => node.setAttribute('data-walk', String(i)))
    document.body.tabIndex = -1
    document.body.focus()
    document.body.removeAttribute('tabindex')
  })
  const reached = new Map<string, Stop>()
  for (let press = 0; press < TABS_MOST; press += 1) {
    await page.keyboard.press('Tab')
    const stop = await page.evaluate((late): Stop | null => {
      const node = document.activeElement as HTMLElement | null
      if (!node || node === document.body) return null
      // What came after the count has a number of its own: two keys may read alike.
      node.dataset.walk ??= late
      const shown = node.matches('.choice input') ? (node.nextElementSibling as HTMLElement) : node
      const { outlineStyle, outlineWidth } = getComputedStyle(shown)
      const box = shown.getBoundingClientRect()
      const [x, y] = [box.left + Math.min(box.width / 2, 12), box.top + box.height / 2]
      const top = document.elementFromPoint(x, y)
      const within = top !== null && (shown.contains(top) || top.contains(shown) || ((node as HTMLInputElement).labels?.[0]?.contains(top) ?? false))
      return { id: node.dataset.walk, name: node.outerHTML.slice(0, 120), ring: outlineStyle !== 'none' && parseFloat(outlineWidth) >= 2, covered: !within }
    }, `late-${press}`)
    if (!stop) break
    if (reached.has(stop.id)) break
    reached.set(stop.id, stop)
  }
  const stops = [...reached.values()]
  expect(stops.filter(({ ring }) => !ring).map(({ name }) => name), `${where}: the focus is not seen`).toEqual([])
  expect(stops.filter(({ covered }) => covered).map(({ name }) => name), `${where}: the focus is covered`).toEqual([])
  const missed = await page.evaluate((ids) => {
    const groups = new Set([...document.querySelectorAll<HTMLInputElement>('input[type=radio]')].filter((node) => ids.includes(node.dataset.walk ?? '')).map(({ name }) => name))
    return [...document.querySelectorAll<HTMLInputElement>('[data-walk]')].filter((node) => node.isConnected && !node.disabled && node.getClientRects().length > 0 && node.checkVisibility({ visibilityProperty: true }) && !ids.includes(node.dataset.walk ?? '') && !(node.type === 'radio' && groups.has(node.name))).map((node) => node.outerHTML.slice(0, 120))
  }, stops.map(({ id }) => id))
  expect(missed, `${where}: not reached by Tab`).toEqual([])
}

/** Presses a link or a key by the keyboard. */
async function press(page: Page, role: 'link' | 'button', name: string): Promise<void> {
  await page.getByRole(role, { name, exact: true }).focus()
  await page.keyboard.press('Enter')
}

/** 320 px wide, and 1280 zoomed to 200 and to 400 %. */
async function small(page: Page): Promise<void> {
  for (const [width, height] of [[320, 640], [640, 400], [320, 256]] as const) {
    await page.setViewportSize({ width, height })
    await drawn(page)
    await narrowEnough(page)
  }
  await page.setViewportSize({ width: 1280, height: 800 })
}

test('every page is walked by the keyboard alone, small and zoomed, in fixed colours, and nothing moves', async ({ site: page }, info) => {
  test.setTimeout(90_000)
  await page.emulateMedia({ reducedMotion: 'no-preference' })
  await walk(page, 'start')
  await small(page)
  await press(page, 'button', 'Describe my still')
  await walk(page, 'describe')
  await page.reload()
  await press(page, 'button', 'Try the example')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('of hearts')
  await expect(page.getByRole('button', { name: 'Rehearse this plan' })).toBeVisible()
  await walk(page, 'plan')
  await small(page)
  for (const [place, words] of [['Bench', /true\.$/], ['Still', /no runs yet/], ['Run', /open\.$/]] as const) {
    await press(page, 'link', place)
    await expect(page.getByRole('heading', { level: 1 })).toHaveText(words)
    await walk(page, place)
    await small(page)
  }
  await goTo(page, 'Plan')
  await rehearse(page, '1')
  await speed(page, 'pause')
  await expect(page.getByRole('region', { name: 'What happened' })).toBeVisible()
  await walk(page, 'run')
  await small(page)
  await page.evaluate(() => scrollTo(0, 0))
  const strip = await page.locator('.strip .window').boundingBox()
  await page.mouse.move((strip?.x ?? 0) + 300, (strip?.y ?? 0) + 100)
  await page.mouse.down()
  await page.mouse.move((strip?.x ?? 0) + 420, (strip?.y ?? 0) + 100, { steps: 3 })
  await page.mouse.up()
  await page.getByRole('button', { name: 'Now', exact: true }).click()
  await page.keyboard.press('t')
  const pad = page.getByRole('dialog', { name: /Take-off/ })
  await expect(pad).toBeVisible()
  await page.keyboard.press('Escape')
  await expect(pad).toBeHidden()
  expect(await page.evaluate(() => document.getAnimations().length), 'something moves').toBe(0)
  for (const colorScheme of ['light', 'dark'] as const) {
    await page.emulateMedia({ forcedColors: 'active', colorScheme })
    expect(await page.evaluate(() => getComputedStyle(document.documentElement).getPropertyValue('--paper').trim())).toBe('Canvas')
    await colours(page)
    await picture(page, info, `fixed-colours-${colorScheme}`, true)
  }
  await page.emulateMedia({ forcedColors: 'none', colorScheme: 'light' })
  const [display, icons] = await page.evaluate(async () => {
    const { display, icons } = await (await fetch('./manifest.webmanifest')).json() as { display: string; icons: { src: string }[] }
    return [display, await Promise.all(icons.map(async ({ src }) => (await fetch(src)).ok))] as const
  })
  expect([display, icons]).toEqual(['standalone', [true, true, true, true]])
  expect(await page.evaluate(async () => (await navigator.serviceWorker?.getRegistrations() ?? []).length), 'nothing stands between the page and the program').toBe(0)
})
