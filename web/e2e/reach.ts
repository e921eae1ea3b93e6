// A page by the keyboard alone, in colours that the reader has fixed, small and zoomed, and without a thing that moves.
import { expect, type Page, type Request, type TestInfo } from '@playwright/test'
import { colours, drawn, goTo, narrowEnough, picture, rehearse, sound, speed } from './house'
import { LONG } from './measures'

/** Most presses of Tab that a page may take from its first to its last key. */
const TABS_MOST = 160

interface Stop { id: string; name: string; ring: boolean; covered: boolean }

/** Where the focus is. */
const stopped = (late: string): Stop | null => {
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
}

/** Goes through a page by Tab: everything that can be pressed is reached, seen to be, and covered by nothing. */
async function walk(page: Page, where: string): Promise<number> {
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
    const stop = await page.evaluate(stopped, `late-${press}`)
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
  return stops.length
}

/** Presses a link or a key by the keyboard. */
async function press(page: Page, role: 'link' | 'button', name: string): Promise<void> {
  await page.getByRole(role, { name, exact: true }).focus()
  await page.keyboard.press('Enter')
}

/** 320 px wide, and the screen of the device zoomed to 200 and, where that is not narrower than 320, to 400 %. */
async function small(page: Page): Promise<void> {
  const whole = page.viewportSize() ?? { width: 1280, height: 800 }
  const zoomed = [2, 4].map((zoom) => ({ width: Math.max(whole.width / zoom, 320), height: whole.height / zoom }))
  for (const size of [{ width: 320, height: 640 }, ...zoomed]) {
    await page.setViewportSize(size)
    await drawn(page)
    await narrowEnough(page)
  }
  await page.setViewportSize(whole)
}

/** Goes to a page by the keyboard; a phone hides the menu behind one key. */
async function pressTo(page: Page, place: string): Promise<void> {
  if (!(await page.getByRole('link', { name: place, exact: true }).isVisible())) await press(page, 'button', 'Go to')
  await press(page, 'link', place)
}

/** So long after its last answer a page asks no more by itself: twice the 200 ms for which a form waits for more keys, ms. */
const QUIET_MS = 400

/** Notes what the page asks for; gives a wait until all of it has come: what comes late moves what stands below it. */
function whole(page: Page): () => Promise<void> {
  const asked = new Set<Request>()
  let heard = Date.now()
  const answered = (request: Request): void => { asked.delete(request); heard = Date.now() }
  page.on('request', (request) => { if (!request.url().includes('/api/events')) { asked.add(request); heard = Date.now() } })
  page.on('requestfinished', answered)
  page.on('requestfailed', answered)
  return async () => {
    await expect.poll(() => asked.size === 0 && Date.now() - heard > QUIET_MS, { message: 'the page waits for an answer', intervals: [100] }).toBe(true)
    await drawn(page)
  }
}

/** Every page, on whatever device it is. Gives how many keys and links were reached. */
export async function reached(page: Page, info: TestInfo): Promise<string> {
  let stops = 0
  const come = whole(page)
  await page.emulateMedia({ reducedMotion: 'no-preference' })
  stops += await walk(page, 'start')
  await small(page)
  await press(page, 'button', 'Describe my still')
  stops += await walk(page, 'describe')
  await page.reload()
  await press(page, 'button', 'Try the example')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('of hearts')
  await expect(page.getByRole('button', { name: 'Rehearse this plan' })).toBeVisible()
  stops += await walk(page, 'plan')
  if (LONG) await sound(page)
  await small(page)
  for (const [place, words] of [['Bench', /true\.$/], ['Still', /no runs yet/], ['Run', /open\.$/]] as const) {
    await pressTo(page, place)
    await expect(page.getByRole('heading', { level: 1 })).toHaveText(words)
    await come()
    stops += await walk(page, place)
    if (LONG) await sound(page)
    await small(page)
  }
  await goTo(page, 'Plan')
  await rehearse(page, '1')
  await speed(page, 'pause')
  await expect(page.getByRole('region', { name: 'What happened' })).toBeVisible()
  stops += await walk(page, 'run')
  if (LONG) await sound(page)
  await small(page)
  await page.evaluate(() => scrollTo(0, 0))
  const strip = await page.locator('.strip .window').boundingBox()
  const [x, y] = [(strip?.x ?? 0) + (strip?.width ?? 0) / 2, (strip?.y ?? 0) + 100]
  await page.mouse.move(x, y)
  await page.mouse.down()
  await page.mouse.move(x + 120, y, { steps: 3 })
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
  return `${stops} keys and links reached by Tab, each seen and uncovered; nothing wider than 320 px, 200 % and 400 %; no animation; fixed colours by day and in the dark${LONG ? '; no rule of WCAG 2.2 AA broken, by axe, on five pages' : ''}`
}
