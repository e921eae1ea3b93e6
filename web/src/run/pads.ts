// What each pad asks for.
import type { Knowledge } from '../knowledge'
import type { NewAction, RunActionRow } from '../types'
import type { Entered } from '../typed'
import type { Quantity } from '../units'

export interface PadField { key: string; label: string; quantity: Quantity; unit: string; value: number | null; decimals: number; min: number; max: number }

/** What a typed reading may be: the glass, or channels that are read together. */
export interface ReadingGroup { name: string; channels: string[] }
const TOGETHER: ReadingGroup[] = [
  { name: 'head, pot', channels: ['head_c', 'pot_c'] },
  { name: 'coolant', channels: ['coolant_in_c', 'coolant_out_c', 'coolant_l_per_min'] },
  { name: 'heat, air', channels: ['heater_w', 'pressure_hpa', 'ambient_c'] },
  { name: 'vent, spout', channels: ['vent_c', 'product_c'] },
]

/** Every channel that a run has, in groups of one pad each; what has no group of its own stands in the last ones. */
export function readingGroups(names: readonly string[]): ReadingGroup[] {
  const named = TOGETHER.map(({ name, channels }) => ({ name, channels: channels.filter((channel) => names.includes(channel)) }))
  const rest = names.filter((channel) => !TOGETHER.some(({ channels }) => channels.includes(channel)))
  const more = Array.from({ length: Math.ceil(rest.length / 3) }, (_, i) => ({ name: i ? `others ${i + 1}` : 'others', channels: rest.slice(3 * i, 3 * i + 3) }))
  return [...named, ...more].filter(({ channels }) => channels.length)
}

/** What is known of a channel by the unit in its name: the unit, decimals, bounds that no still leaves. */
const BY_UNIT: [end: string, unit: string, decimals: number, min: number, max: number][] = [
  ['_l_per_min', 'L/min', 1, 0, 200], ['_hpa', 'hPa', 0, 500, 1100], ['_kpa', 'kPa', 2, -100, 1000], ['_ppm', 'ppm', 0, 0, 1_000_000],
  ['_lel', '% LEL', 0, 0, 1000], ['_kg', 'kg', 3, -10, 10_000], ['_w', 'W', 0, 0, 1_000_000],
]

/** What stands in the air or in water from outside may be below zero. */
const OUTDOORS = ['ambient_c', 'coolant_in_c', 'coolant_out_c']

/** The field of a channel. It is empty: what a probe reads must not be recorded as read by eye. */
export function channelField(name: string, words: string): PadField {
  const value = null
  const label = words.replace(/ (thermometer|meter)$/, '')
  if (name.endsWith('_c')) return { key: name, label, quantity: 'temperature', unit: '', value, decimals: 1, min: OUTDOORS.includes(name) ? -30 : -10, max: 125 }
  const [, unit, decimals, min, max] = BY_UNIT.find(([end]) => name.endsWith(end)) ?? ['', '', 2, -1e6, 1e6]
  return { key: name, label, quantity: 'plain', unit, value, decimals, min, max }
}

export const AGO: { words: string; seconds: number }[] = [
  { words: 'now', seconds: 0 },
  { words: '1 min ago', seconds: 60 },
  { words: '5 min ago', seconds: 300 },
]

/** Before the time at which it was recorded. */
export const EARLIER: typeof AGO = [
  { words: 'no', seconds: 0 },
  { words: '1 min', seconds: 60 },
  { words: '5 min', seconds: 300 },
]

/** Why it cannot have happened so many minutes before; nothing where it can. */
export function agoProblem(minutes: number | null, mostS: number, back = 'ago'): string {
  if (minutes === null) return `Minutes ${back}: a number is needed.`
  if (minutes < 0) return back === 'ago' ? 'It cannot happen later than now.' : 'What came later is taken back, and recorded anew.'
  const most = Math.floor(mostS / 60)
  return minutes * 60 > mostS ? `From 0 to ${most} min ${back}.` : ''
}

const number = (key: string, label: string, unit: string, value: number | null, decimals: number, max: number, min = 0): PadField => ({ key, label, quantity: 'plain', unit, value, decimals, min, max })
const strength = (key: string, label: string, value: number | null): PadField => ({ key, label, quantity: 'strength', unit: '', value, decimals: 1, min: 0, max: 100 })
const warmth = (key: string, label: string, value: number | null): PadField => ({ key, label, quantity: 'temperature', unit: '', value, decimals: 1, min: -10, max: 110 })

/** What a recorded action asks for when it is corrected: its number as it was. */
export function fieldsOf(row: RunActionRow): PadField[] {
  switch (row.action) {
    case 'heater': return [number('value', 'heater', 'W', row.value, 0, 100_000)]
    case 'takeoff': return [row.unit === 'reflux_watts' ? number('value', 'partial condenser', 'W', row.value, 0, 50000) : row.unit === 'reflux_ratio' ? number('value', 'reflux ratio', 'returned per drawn', row.value, 1, 200) : number('value', 'take-off', 'mL/min', row.value, 0, 5000)]
    case 'coolant': return [number('value', 'coolant', 'L/min', row.value, 1, 100)]
    case 'jar': return [number('value', 'jar', 'number', row.value, 0, 999, 1)]
    case 'gauge': return [strength('value', 'the glass reads', row.value), warmth('celsius', 'spirit at', Number(row.unit.replace('vol_at_', '')) || 20)]
    case 'residue': case 'feints': case 'sample': return [number('value', row.action, row.unit === 'kg' ? 'kg' : 'L', row.value, 2, 10_000)]
    default: return []
  }
}

/** What a jar holds, when its size is corrected. */
export const sizeFields = (ml: number | null): PadField[] => [number('ml', 'one jar holds', 'mL', ml, 0, 100_000, 10)]

/** What can be measured outside the jars. */
export type VesselName = 'residue' | 'feints' | 'sample'

/** What residue, feints or a sample are measured by: litres or weight, and the glass at a temperature. */
export function vesselFields(unit: 'l' | 'kg'): PadField[] {
  return [number('value', 'there is', unit === 'kg' ? 'kg' : 'L', null, 2, 10_000), strength('apparent_vol', 'the glass reads', null), warmth('celsius', 'it is at', null)]
}

/** The row of it; none without an amount. The glass tells nothing without a temperature, and the row says so. */
export function vesselRow(action: VesselName, unit: 'l' | 'kg', values: Record<string, number>, entered: Entered[] = []): NewAction | null {
  const { value: amount, apparent_vol, celsius } = values
  if (amount === undefined) return null
  const at = celsius === undefined ? '' : celsius.toFixed(1)
  const note = apparent_vol === undefined ? (at && `at_${at}`) : `${apparent_vol.toFixed(1)} vol${at && `_at_${at}`}`
  return { action, value: amount, unit, ...(note ? { note } : {}), ...(entered.length ? { entered } : {}) }
}

/** What a jar is measured by: its volume, and the glass at a temperature. */
export function jarFields(jar: Knowledge['jars'][number] | null): PadField[] {
  return [number('volume_ml', 'it holds', 'mL', jar?.measured ? Math.round(jar.volume_ml) : null, 0, 100_000), strength('apparent_vol', 'the glass reads', null), warmth('temperature_c', 'spirit at', null)]
}
