// One state as a person sees it on arriving: on a phone, a tablet and a desk, by day and in the dark, and all of the page by day.
import type { Page } from '@playwright/test'
import { join } from 'node:path'
import { drawn, narrowEnough } from './house'

const SIZES = [['phone', 390, 844], ['tablet', 820, 1180], ['desk', 1280, 800]] as const
export const FOLDER = join('test-results', 'screens', 'looks')

export async function look(page: Page, name: string): Promise<void> {
  for (const [size, width, height] of SIZES) {
    await page.setViewportSize({ width, height })
    await page.evaluate(() => scrollTo(0, 0))
    await drawn(page)
    await page.waitForTimeout(150)
    await narrowEnough(page)
    await page.screenshot({ path: join(FOLDER, `${name}-${size}.png`) })
    await page.emulateMedia({ colorScheme: 'dark' })
    await page.screenshot({ path: join(FOLDER, `${name}-${size}-dark.png`) })
    await page.emulateMedia({ colorScheme: 'light' })
    await page.screenshot({ path: join(FOLDER, `${name}-${size}-whole.png`), fullPage: true })
  }
}
