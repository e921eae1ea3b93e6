// What a person can measure at a still with a rule and their eyes: the fields of the form, and what they say.
import type { components } from '../api'
import { parseNumber } from '../units'

export type Measured = components['schemas']['MeasuredWire']

/** What stands in the column, by the words of the form; the last two things say what its number is. */
export const FILLINGS = [
  { kind: 'knitted', words: 'knitted wire', label: '' },
  { kind: 'pieces', words: 'loose pieces', label: 'across one piece, mm' },
  { kind: 'sheets', words: 'folded sheets', label: 'their surface as the maker states it, m²/m³' },
  { kind: 'plates', words: 'plates', label: 'how many plates' },
] as const
export type FillingKind = (typeof FILLINGS)[number]['kind']

/** The form as it stands: what was typed, empty where nothing was measured. */
export interface Typed { diameter: string; height: string; probe: string; filling: FillingKind | ''; size: string; column: Wall; boiler: Wall; metal: '' | 'steel' | 'copper' }
export type Wall = '' | 'wrapped' | 'bare'

export const NOTHING: Typed = { diameter: '', height: '', probe: '', filling: '', size: '', column: '', boiler: '', metal: '' }

const UNKNOWN: Measured = { diameter_mm: null, height_mm: null, column_probe_mm: null, filling: null, column_lagged: null, boiler_lagged: null, metal: null }
const wall = (given: Wall): boolean | null => (given === '' ? null : given === 'wrapped')
const wallOf = (given: boolean | null | undefined): Wall => (given === null || given === undefined ? '' : given ? 'wrapped' : 'bare')

/** What was measured, or in words what cannot be read. */
export function measuredOf(typed: Typed, column: boolean): Measured | string {
  const number = (text: string): number | null | undefined => (text.trim() ? (parseNumber(text) ?? undefined) : null)
  const [diameter, height, size] = [number(typed.diameter), number(typed.height), number(typed.size)]
  const walls: Measured = { ...UNKNOWN, column_lagged: wall(typed.column), boiler_lagged: wall(typed.boiler), metal: typed.metal || null }
  if (!column) return walls
  const probe = number(typed.probe)
  if (probe === undefined) return 'The thermometer in the column: millimetres over the foot of the packing as a number, or nothing.'
  if (diameter === undefined || height === undefined) return 'The size of the column: millimetres as a number, or nothing.'
  const filling = FILLINGS.find(({ kind }) => kind === typed.filling)
  if (!filling || filling.kind === 'knitted') return { ...walls, diameter_mm: diameter, height_mm: height, column_probe_mm: probe, filling: filling ? 'knitted' : null }
  if (size === null || size === undefined || (filling.kind === 'plates' && size % 1 !== 0)) return `What stands in the column: “${filling.label}” is needed.`
  return { ...walls, diameter_mm: diameter, height_mm: height, column_probe_mm: probe, filling: { [filling.kind]: size } as NonNullable<Measured['filling']> }
}

/** The form of what was measured before. */
export function typedOf(measured: Measured): Typed {
  const text = (value: number | null | undefined): string => (value === null || value === undefined ? '' : String(value))
  const [kind, size] = typeof measured.filling === 'string' ? [measured.filling, null] : (Object.entries(measured.filling ?? {})[0] ?? ['', null])
  return {
    diameter: text(measured.diameter_mm), height: text(measured.height_mm), probe: text(measured.column_probe_mm), filling: kind as Typed['filling'], size: text(size as number | null),
    column: wallOf(measured.column_lagged), boiler: wallOf(measured.boiler_lagged), metal: measured.metal ?? '',
  }
}
