// What the probes read before heat, by a real file; and a reading by hand, some minutes ago, typed in.
import { expect } from '@playwright/test'
import { rename, rm, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { allSeen, goTo, ownChecks, pictures, test, told } from './house'

test('the bench shows each source raw, with its age and who speaks; what is lost shows no number; a hand enters any channel', async ({ site: page, server }, info) => {
  const file = join(server.data, 'w1_slave')
  const put = async (thousandths: number): Promise<void> => {
    const line = '4b 01 4b 46 7f ff 05 10 e1'
    await writeFile(`${file}.new`, `${line} : crc=e1 YES\n${line} t=${thousandths}\n`)
    await rename(`${file}.new`, file)
  }
  await put(19_500)
  const source = (name: string, path: string, channel: string): string => `[[still.source]]\nname = "${name}"\nkind = "one_wire"\npath = "${path}"\nevery_s = 0.2\n[[still.source.value]]\nchannel = "${channel}"\n`
  await writeFile(join(server.data, 'feeds.toml'), `format = 1\n[[still]]\nname = "Shed still"\n${source('probe 1', file, 'head_c')}offset = -0.25\n${source('probe 2', `${file}.none`, 'pot_c')}${source('wash probe', file, 'temperature_c').replaceAll('still', 'wash').replace('[[wash', '[[wash]]\nname = "Plum"\n[[wash')}`)
  await ownChecks(page)
  const bench = page.getByRole('region', { name: 'What the probes read now' })
  await expect(bench).toContainText('1 of 2 channels come. Not to be trusted: pot thermometer.')
  const head = bench.locator('li', { hasText: 'head thermometer' })
  await expect(head).toContainText('19.5\u00a0°C')
  await expect(head).toContainText('is 19.25 °C')
  await expect(head).toContainText('speaks')
  await expect(bench.locator('li', { hasText: 'pot thermometer' })).toContainText('no reading')
  await goTo(page, 'Still')
  await put(20_000)
  await expect(head).toContainText('20\u00a0°C')
  await pictures(page, info, 'bench-of-channels')
  // A wash is fed from the same file; its page says what speaks and how old it is.
  const recipe = { format: 1, title: 'Plum', start: '', kind: 'sugar', litres: 25, fermentable: [{ name: 'sucrose', kg: 4.5 }], yeast: { kind: 'wine', grams: 25 }, nutrient: [], room: { ambient_c: 22, insulated: false }, reading: { hydrometer_true_at_c: 20, hydrometer_step: 0.001, sample_discarded_ml: 0 } }
  const opened = await page.request.post(`${new URL(page.url()).origin}/api/washes`, { data: { recipe, by: 'Ada' } })
  expect(opened.ok(), await opened.text()).toBe(true)
  await goTo(page, 'Wash')
  const probe = bench.locator('li', { hasText: 'thermometer of the wash' })
  await expect(probe).toContainText('20\u00a0°C')
  await expect(probe).toContainText('speaks')
  await pictures(page, info, 'probes-of-a-wash')
  await goTo(page, 'Still')
  await expect(head).toContainText('20\u00a0°C')
  await rm(file)
  await expect(head).toContainText('last sent 20\u00a0°C')
  await expect(head.locator('b', { hasText: '°C' }), 'an old number stands as no number of now').toHaveCount(0)

  await goTo(page, 'Run')
  await page.getByRole('list', { name: 'Runs' }).getByRole('link').first().click()
  await page.getByLabel('min ago', { exact: true }).fill('20')
  await page.getByRole('button', { name: /^Heater is on/ }).click()
  await expect(page.locator('.keys')).toBeVisible()
  await allSeen(page)
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Heating')
  await page.getByRole('button', { name: /°C, % vol/ }).click()
  await page.locator('label', { hasText: '°F' }).click()
  await pictures(page, info, 'units', false)
  await page.keyboard.press('Escape')
  await page.locator('body').press('r')
  const pad = page.getByRole('dialog', { name: 'A reading' })
  await pad.locator('label', { hasText: 'coolant' }).click()
  const key = pad.getByRole('button', { name: '1', exact: true })
  await expect(key).toHaveAttribute('aria-disabled', 'false')
  await pad.getByRole('button', { name: /^coolant inlet/ }).click()
  await page.keyboard.type('58.1')
  await pad.getByLabel('min ago', { exact: true }).fill('40')
  await expect(pad.getByText('From 0 to 20 min ago.')).toBeVisible()
  await pad.getByLabel('min ago', { exact: true }).fill('5')
  await pad.getByRole('button', { name: 'Enter', exact: true }).click()
  await expect(pad).toBeHidden()
  await expect.poll(async () => {
    const { channels } = (await told(page)).knowledge as unknown as { channels: { name: string; age_s: number | null }[] }
    return Math.round((channels.find(({ name }) => name === 'coolant_in_c')?.age_s ?? 0) / 60)
  }).toBe(5)
  // What was typed stays as it was typed; what is reckoned with is 14.5 °C.
  await expect(page.getByRole('region', { name: 'What happened' })).toContainText('Read by hand: coolant inlet thermometer 14.5 °C (entered as 58.1 °F)')
})
