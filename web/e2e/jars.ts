// The Jars page of a run that is over: a cut moved by key, words of the nose kept, the jars entered as a lot in the book.
import { expect, type Page, type TestInfo } from '@playwright/test'
import { elsewhere, goTo, pictures, runId } from './house'

interface Lot { lot: string; place: string; pure_alcohol_l: number }

/** Brings a run of three jars into the book, as its balance would have it. */
async function booked(page: Page, run: string): Promise<void> {
  const origin = new URL(page.url()).origin
  const jars = [1, 2, 3].map((number) => `jar:${run}-${number}/${run}-${number}=${[0.03, 0.05, 0.15][number - 1]}`)
  const acts = [
    { kind: 'receive', from: ['received=20@9'], to: ['wash:W1/W1=rest'] },
    { kind: 'charge', from: ['wash:W1/W1=all'], to: [`pot:P/${run}=rest`] },
    { kind: 'distil', from: [`pot:P/${run}=all`], to: [...jars, 'loss:residue=rest'] },
  ]
  for (const act of acts) {
    const answer = await page.request.post(`${origin}/api/book/entries`, { data: { ...act, by: 'Wren' } })
    expect(answer.ok(), await answer.text()).toBe(true)
  }
}

const lots = async (page: Page): Promise<Lot[]> => (await (await page.request.get(`${new URL(page.url()).origin}/api/book/lots`)).json()) as Lot[]

/** From the cut to the lot. */
export async function jarsToLot(page: Page, info: TestInfo): Promise<void> {
  const run = runId(page)
  // The third jar gets its temperature, without which no strength is known.
  await elsewhere(page, 'jars', { jar: 3, volume_ml: 165, temperature_c: 20, apparent_vol: 93, sure: true })
  await goTo(page, 'Jars')
  const say = page.locator('section.say')
  const heading = say.getByRole('heading', { level: 1 })
  await expect(heading).toHaveText('Jars 2 and 3 are in.')
  await expect(page.getByRole('button', { name: /^Jar 3, .*glass 3/ }), 'with what it was gauged').toBeVisible()
  const before = (await say.textContent()) ?? ''
  const last = page.getByRole('slider', { name: 'last jar in' })
  await last.focus()
  await page.keyboard.press('ArrowLeft')
  await expect(heading).toHaveText('Jar 2 is in.')
  await expect(say, 'the blend is another').not.toContainText(/1\.25.L/)
  await page.keyboard.press('ArrowRight')
  await expect(say, 'and the same again').toHaveText(before)
  await expect(last).toHaveAttribute('aria-valuetext', 'jar 3')

  const nose = page.getByRole('region', { name: 'What the nose said' })
  await nose.getByLabel(/^jar 3/).fill('pear, clean')
  await nose.getByRole('button', { name: 'Keep these words' }).click()
  await expect(nose.getByText('Smelled before: once')).toBeVisible()
  await expect(page.getByRole('button', { name: /^Jar 3, .*pear, clean/ })).toBeVisible()

  const mix = page.getByRole('region', { name: 'Mix as a lot' })
  await mix.getByRole('button', { name: 'Enter the lot in the book' }).click()
  await mix.getByLabel(/^comes to/).fill('tank:T1/H-1')
  await mix.getByLabel('entered by').fill('Wren')
  await mix.getByRole('button', { name: 'Look at the entries' }).click()
  await expect(mix.getByRole('alert'), 'the run is not in the book').toContainText('take the run into the book first')
  await booked(page, run)
  await mix.getByRole('button', { name: 'Look at the entries' }).click()
  await expect(mix.getByRole('status')).toContainText('This would be entered:')
  expect(await lots(page), 'a look enters nothing').not.toContainEqual(expect.objectContaining({ lot: 'H-1' }))
  await mix.scrollIntoViewIfNeeded()
  await pictures(page, info, 'jars-entries')
  await mix.getByRole('button', { name: /^Enter (it|them)\b/ }).click()
  await expect(mix.getByRole('status')).toContainText('Entered in the book.')
  const lot = (await lots(page)).find((one) => one.lot === 'H-1')
  expect(lot?.place).toBe('tank:T1')
  expect(lot?.pure_alcohol_l).toBeCloseTo(0.2, 9)
  await mix.getByRole('button', { name: 'Look at the entries' }).click()
  await expect(mix.getByRole('status'), 'told twice it is entered once').toContainText('It is in the book already')
}

/** What of the still is looked after: a duty stated, found wanting, overdue; an instrument stated and calibrated. */
export async function tended(page: Page, info: TestInfo): Promise<void> {
  await goTo(page, 'Still')
  const upkeep = page.getByRole('region', { name: 'Upkeep' })
  await upkeep.getByRole('button', { name: 'Add something to keep up' }).click()
  await upkeep.getByLabel('what is done', { exact: true }).fill('relief lifts')
  await expect(upkeep.getByRole('button', { name: 'Keep it up', exact: true }), 'after how long?').toBeDisabled()
  await upkeep.getByLabel(/^again after runs/).fill('1')
  await upkeep.locator('label', { hasText: 'maintenance' }).click()
  await upkeep.getByRole('button', { name: 'Keep it up', exact: true }).click()
  await expect(upkeep.getByRole('listitem')).toContainText('Never done, 0 of 1 runs since.')
  await upkeep.getByRole('button', { name: 'Done now: relief lifts' }).click()
  await upkeep.getByLabel('what was found').fill('it sticks')
  await upkeep.getByLabel(/It is as it should be/).uncheck()
  const instruments = page.getByRole('region', { name: 'Instruments' })
  await instruments.getByRole('button', { name: 'State an instrument' }).click()
  await instruments.getByLabel('is called').fill('long probe')
  await instruments.getByRole('button', { name: 'State it' }).click()
  await expect(instruments).toContainText('Never calibrated')
  await instruments.getByRole('button', { name: 'Calibrate long probe' }).click()
  await instruments.getByLabel(/^it shows/).fill('0,3')
  await instruments.getByRole('button', { name: 'One more point' }).click()
  await instruments.getByLabel(/^it shows/).fill('99.6')
  await instruments.getByLabel(/^pressure/).fill('993.5')
  await pictures(page, info, 'tending')
  await upkeep.getByRole('button', { name: 'Keep that it was done' }).click()
  await expect(upkeep.getByRole('heading', { level: 2 })).toHaveText('Upkeep: 1 overdue')
  await instruments.getByRole('button', { name: 'Keep the calibration' }).click()
  await expect(instruments).toContainText('shows 0.30, is 0.00')
}
