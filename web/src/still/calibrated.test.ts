import { expect, test } from 'vitest'
import type { Calibrated } from '../estimate'
import { foretold, isCalibrated, nextWords, untold, valueRows } from './calibrated'

const spread = (p50: number): { p10: number; p50: number; p90: number } => ({ p10: p50 * 0.9, p50, p90: p50 * 1.1 })
const found: Calibrated = {
  stored_ms: 1_790_000_000_000,
  runs: [
    { title: 'Half reflux', start: '2026-10-03T08:12:00+02:00', left_out: { strength_rms_vol: 1.84, end_percent: -2.36, alcohol_percent: 0.6 } },
    { title: 'Twice the reflux', start: '', left_out: null },
  ],
  values: [
    { of: 'column_loss', value: spread(3.82), told: true, prior: { p10: 0.06, p50: 0.4, p90: 2.7 } },
    { of: 'vapour_lost', value: spread(0.111), told: false, prior: null },
    { of: 'charge_strength', value: spread(1.005), told: true, prior: spread(1) },
  ],
  not_apart: [{ one: 'vapour_lost', other: 'charge_strength', correlation: 0.9 }],
  next: [{ text: 'at half the reflux', doubt_less: 0.183, most: 'hold_up' }],
  keys: { column_loss_w_per_k: 3.82, vapour_lost: 0.111 },
}

test('each value has its unit, its range and what was believed before', () => {
  expect(valueRows(found).map(({ name, now, range, before, told }) => [name, now, range, before, told])).toEqual([
    ['heat lost by column and head', '3.82\u00a0W/K', '3.44 to 4.20\u00a0W/K', '0.06 to 2.70\u00a0W/K', true],
    ['vapour lost, of what is drawn', '11.1\u00a0%', '10.0 to 12.2\u00a0%', null, false],
    ['strength of all charges, of what is stated', '100\u00a0%', '90 to 111\u00a0%', '90 to 110\u00a0%', true],
  ])
})

test('what the runs cannot tell is said, and which run would', () => {
  expect(untold(found)).toEqual([
    'These runs cannot tell the vapour lost from the strength of the charges: changed together they would give nearly the same runs.',
    'They say little about the vapour lost: mostly what was believed before.',
  ])
  expect(untold({ ...found, not_apart: [], values: found.values.slice(0, 1) })).toEqual(['These runs tell every one of them.'])
  expect(nextWords(found)).toBe('a run at half the reflux should tell most: some 18\u00a0% of the doubt less, above all about the liquid held in the column.')
  expect(nextWords({ ...found, next: [] })).toBeNull()
})

test('a run is foretold from the others, or was not', () => {
  expect(found.runs.map(foretold)).toEqual(['2.4\u00a0% too early, 0.6\u00a0% too much alcohol, strength ±1.8\u00a0%\u00a0vol', 'not foretold from the others'])
})

test('a value that was changed by hand since is not the calibrated one', () => {
  expect([isCalibrated(found, 'column_loss_w_per_k', 3.82), isCalibrated(found, 'column_loss_w_per_k', 3.9), isCalibrated(found, 'stages', 12), isCalibrated(null, 'stages', 12)]).toEqual([true, false, false, false])
})
