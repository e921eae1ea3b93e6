// What is typed in a field, in the reader's units: none of it is needed before a first paint.
import { celsiusToF, proofOfVol, PROOF_AT, PROOF_STEP, unitOf, type Quantity, type UnitChoice } from './units'

/** A number as it was typed, for the record, which keeps it beside what it was converted to. */
export interface Entered { field: string; value: number; unit: string }

/** % vol at 20 C of a US proof at 60 F. */
export function volOfProof(proof: number): number {
  const wanted = Math.min(Math.max(proof, 0), 200)
  const above = PROOF_AT.findIndex((value) => value >= wanted)
  if (above <= 0) return 0
  const low = PROOF_AT[above - 1] ?? 0
  const high = PROOF_AT[above] ?? 200
  return PROOF_STEP * (above - 1 + (wanted - low) / (high - low))
}

/** Another unit than the page's own: its name, how many of the own it is, and how many more decimals it deserves. */
type Other = [name: string, size: number, finer: number]
const US: Record<string, Other> = { L: ['US gal', 3.785411784, 1], mL: ['US fl oz', 29.5735295625, 1], 'L/min': ['US gal/min', 3.785411784, 1] }
const IMPERIAL: Record<string, Other> = { L: ['imp gal', 4.54609, 1], mL: ['imp fl oz', 28.4130625, 1], 'L/min': ['imp gal/min', 4.54609, 1] }

function other(unit: string, units: UnitChoice): Other | undefined {
  if (unit === 'hPa' && units.pressure !== 'hPa') return units.pressure === 'inHg' ? ['inHg', 33.86389, 2] : ['mmHg', 1.333224, 0]
  if (unit === 'kg' && units.mass === 'lb') return ['lb', 0.45359237, 0]
  return units.volume === 'L' ? undefined : (units.volume === 'US gal' ? US : IMPERIAL)[unit]
}

/** What a person reads in a field, from what the page holds. */
export function shown(value: number, quantity: Quantity, units: UnitChoice, unit = ''): number {
  if (quantity === 'temperature') return units.temperature === 'F' ? celsiusToF(value) : value
  if (quantity === 'strength') return units.strength === 'proof' ? proofOfVol(value) : value
  return value / (other(unit, units)?.[1] ?? 1)
}

/** What the page holds, from what a person typed. */
export function held(value: number, quantity: Quantity, units: UnitChoice, unit = ''): number {
  if (quantity === 'temperature') return units.temperature === 'F' ? (value - 32) / 1.8 : value
  if (quantity === 'strength') return units.strength === 'proof' ? volOfProof(value) : value
  return value * (other(unit, units)?.[1] ?? 1)
}

/** The unit of a field, as it is read. */
export const fieldUnit = (quantity: Quantity, units: UnitChoice, unit = ''): string =>
  quantity === 'plain' ? other(unit, units)?.[0] ?? unit : unitOf(quantity, units)

/** How finely a field is read in the reader's unit. */
export function finenessOf(decimals: number, quantity: Quantity, units: UnitChoice, unit = ''): number {
  return decimals + (quantity === 'plain' ? other(unit, units)?.[2] ?? 0 : 0)
}

/** The record's name of the unit that was typed in; none where it is the record's own. */
export function typedUnit(quantity: Quantity, units: UnitChoice, unit = ''): string | undefined {
  if (quantity === 'temperature') return units.temperature === 'F' ? 'F' : undefined
  if (quantity === 'strength') return units.strength === 'proof' ? 'US proof' : undefined
  return other(unit, units)?.[0]
}
