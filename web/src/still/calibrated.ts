// What several runs of a still gave together, in words: values with their bands, what cannot be told, what would tell.
import type { Calibrated, Parameter } from '../estimate'
import { figure } from '../units'

interface Sort { name: string; plain: string; unit: string; decimals: number; factor: number }

const SORTS: Record<Parameter, Sort> = {
  column_loss: { name: 'heat lost by column and head', plain: 'the loss of the column', unit: 'W/K', decimals: 2, factor: 1 },
  boiler_loss: { name: 'heat lost by the boiler', plain: 'the loss of the boiler', unit: 'W/K', decimals: 2, factor: 1 },
  efficiency: { name: 'efficiency of a stage', plain: 'how well a stage works', unit: '', decimals: 2, factor: 1 },
  hold_up: { name: 'liquid held in the column', plain: 'the liquid held in the column', unit: 'L', decimals: 2, factor: 1 },
  vapour_lost: { name: 'vapour lost, of what is drawn', plain: 'the vapour lost', unit: '%', decimals: 1, factor: 100 },
  charge_strength: { name: 'strength of all charges, of what is stated', plain: 'the strength of the charges', unit: '%', decimals: 0, factor: 100 },
}

export const parameterName = (of: Parameter): string => SORTS[of].name

type Value = Calibrated['values'][number]

/** A value of the still as a row: what is believed now and was before, each 4 in 5. */
export interface ValueRow { of: Parameter; name: string; now: string; range: string; before: string | null; told: boolean }

function said(of: Parameter, value: number, bare = false): string {
  const { unit, decimals, factor } = SORTS[of]
  return `${figure(value * factor, decimals)}${bare || !unit ? '' : `\u00a0${unit}`}`
}

export function valueRow({ of, value, prior, told }: Value): ValueRow {
  const range = (band: { p10: number; p90: number }): string => `${said(of, band.p10, true)} to ${said(of, band.p90)}`
  return { of, name: SORTS[of].name, now: said(of, value.p50), range: range(value), before: prior ? range(prior) : null, told }
}

/** Of a pot head no efficiency is stated. */
export const valueRows = (found: Calibrated): ValueRow[] => found.values.filter(({ of }) => of !== 'efficiency' || 'efficiency' in found.keys).map(valueRow)

function joined(names: string[]): string {
  return names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names[names.length - 1] ?? ''}`
}

/** What these runs cannot tell, one sentence each; one sentence where they tell everything. */
export function untold(found: Calibrated): string[] {
  const lines = found.not_apart.map(({ one, other }) => `These runs cannot tell ${SORTS[one].plain} from ${SORTS[other].plain}: changed together they would give nearly the same runs.`)
  const little = valueRows(found).filter(({ told }) => !told).map(({ of }) => SORTS[of].plain)
  if (little.length) lines.push(`They say little about ${joined(little)}: mostly what was believed before.`)
  return lines.length ? lines : ['These runs tell every one of them.']
}

/** Which further run should tell most. */
export function nextWords(found: Calibrated): string | null {
  const next = found.next[0]
  if (!next) return null
  const run = next.text.startsWith('at ') ? `a run ${next.text}` : next.text
  return `${run} should tell most: some ${figure(next.doubt_less * 100, 0)}\u00a0% of the doubt less, above all about ${SORTS[next.most].plain}.`
}

/** How the other runs foretold a run: its time, its alcohol and its strengths. */
export function foretold(run: Calibrated['runs'][number]): string {
  const out = run.left_out
  if (!out) return 'not foretold from the others'
  const parts = [`${figure(Math.abs(out.end_percent), 1)}\u00a0% too ${out.end_percent > 0 ? 'late' : 'early'}`]
  if (out.alcohol_percent !== null) parts.push(`${figure(Math.abs(out.alcohol_percent), 1)}\u00a0% too ${out.alcohol_percent > 0 ? 'much' : 'little'} alcohol`)
  if (out.strength_rms_vol !== null) parts.push(`strength ±${figure(out.strength_rms_vol, 1)}\u00a0%\u00a0vol`)
  return parts.join(', ')
}

/** Whether a value of the still is the one that the calibration put there. */
export const isCalibrated = (found: Calibrated | null, key: string, value: number): boolean => found !== null && found.keys[key] === value
