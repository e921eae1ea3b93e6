// What each pad asks for.
import type { Knowledge } from '../knowledge'
import type { NewAction, RunActionRow } from '../types'

export interface PadField { key: string; label: string; quantity: 'temperature' | 'strength' | 'plain'; unit: string; value: number | null; decimals: number; min: number; max: number }

/** What a typed reading may be. */
export type ReadingKind = 'gauge' | 'temperatures' | 'barometer'

export const AGO: { words: string; seconds: number }[] = [
  { words: 'now', seconds: 0 },
  { words: '1 min ago', seconds: 60 },
  { words: '5 min ago', seconds: 300 },
]

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

/** What can be measured outside the jars. */
export type VesselName = 'residue' | 'feints' | 'sample'

/** What residue, feints or a sample are measured by: litres or weight, and the glass at a temperature. */
export function vesselFields(unit: 'l' | 'kg'): PadField[] {
  return [number('amount', 'there is', unit === 'kg' ? 'kg' : 'L', null, 2, 10_000), strength('apparent_vol', 'the glass reads', null), warmth('celsius', 'it is at', null)]
}

/** The row of it; none without an amount. The glass tells nothing without a temperature, and the row says so. */
export function vesselRow(action: VesselName, unit: 'l' | 'kg', values: Record<string, number>): NewAction | null {
  const { amount, apparent_vol, celsius } = values
  if (amount === undefined) return null
  const at = celsius === undefined ? '' : celsius.toFixed(1)
  const note = apparent_vol === undefined ? (at && `at_${at}`) : `${apparent_vol.toFixed(1)} vol${at && `_at_${at}`}`
  return { action, value: amount, unit, ...(note ? { note } : {}) }
}

/** What a jar is measured by: its volume, and the glass at a temperature. */
export function jarFields(jar: Knowledge['jars'][number] | null): PadField[] {
  return [number('volume_ml', 'it holds', 'mL', jar?.measured ? Math.round(jar.volume_ml) : null, 0, 100_000), strength('apparent_vol', 'the glass reads', null), warmth('temperature_c', 'spirit at', null)]
}
