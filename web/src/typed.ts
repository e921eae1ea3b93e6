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

// Specific gravity 20/20 of -10, -7.5, -5 .. 65 degrees Plato, by the program's own polynomial of sucrose at 20 C
// (crates/alcoholometry, ICUMSA SPS-4); between them it is 0.00003 from a straight line at most.
const PLATO_FROM = -10
const PLATO_STEP = 2.5
const GRAVITY_AT = [
  0.96273, 0.97181, 0.98104, 0.99044, 1, 1.00973, 1.01964, 1.02972, 1.03998, 1.05043, 1.06107, 1.0719, 1.08292, 1.09415, 1.10558, 1.11721,
  1.12906, 1.14112, 1.1534, 1.16591, 1.17864, 1.19159, 1.20478, 1.21821, 1.23187, 1.24577, 1.25991, 1.2743, 1.28893, 1.3038, 1.31893,
]
/** Between the rows of the table; beyond them along its last piece. */
const rowBelow = (place: number): number => Math.min(Math.max(Math.floor(place), 0), GRAVITY_AT.length - 2)

/** Degrees Plato of a specific gravity 20/20. */
export function platoOf(gravity: number): number {
  const above = GRAVITY_AT.findIndex((value) => value > gravity)
  const row = above < 0 ? GRAVITY_AT.length - 2 : Math.max(above - 1, 0)
  const [low = 0, high = 1] = GRAVITY_AT.slice(row, row + 2)
  return PLATO_FROM + PLATO_STEP * (row + (gravity - low) / (high - low))
}
/** Specific gravity 20/20 of degrees Plato. */
export function gravityOf(plato: number): number {
  const place = (plato - PLATO_FROM) / PLATO_STEP
  const row = rowBelow(place)
  const [low = 0, high = 1] = GRAVITY_AT.slice(row, row + 2)
  return low + (high - low) * (place - row)
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
  if (quantity === 'gravity') return units.gravity === 'Plato' ? platoOf(value) : value
  return value / (other(unit, units)?.[1] ?? 1)
}

/** What the page holds, from what a person typed. */
export function held(value: number, quantity: Quantity, units: UnitChoice, unit = ''): number {
  if (quantity === 'temperature') return units.temperature === 'F' ? (value - 32) / 1.8 : value
  if (quantity === 'strength') return units.strength === 'proof' ? volOfProof(value) : value
  if (quantity === 'gravity') return units.gravity === 'Plato' ? gravityOf(value) : value
  return value * (other(unit, units)?.[1] ?? 1)
}

/** The unit of a field, as it is read. */
export const fieldUnit = (quantity: Quantity, units: UnitChoice, unit = ''): string =>
  quantity === 'plain' ? other(unit, units)?.[0] ?? unit : quantity === 'gravity' ? (units.gravity === 'Plato' ? '°Plato' : 'gravity') : unitOf(quantity, units)

/** How finely a field is read in the reader's unit. */
export function finenessOf(decimals: number, quantity: Quantity, units: UnitChoice, unit = ''): number {
  if (quantity === 'gravity') return units.gravity === 'Plato' ? Math.max(decimals - 2, 0) : decimals
  return decimals + (quantity === 'plain' ? other(unit, units)?.[2] ?? 0 : 0)
}

/** The record's name of the unit that was typed in; none where it is the record's own. */
export function typedUnit(quantity: Quantity, units: UnitChoice, unit = ''): string | undefined {
  if (quantity === 'temperature') return units.temperature === 'F' ? 'F' : undefined
  if (quantity === 'strength') return units.strength === 'proof' ? 'US proof' : undefined
  if (quantity === 'gravity') return units.gravity === 'Plato' ? 'Plato' : undefined
  return other(unit, units)?.[0]
}
