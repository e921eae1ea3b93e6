// The only place that turns numbers into words; typed.ts turns what is typed into numbers.
// Inside the page everything is C, L, % vol at 20 C, run seconds; a person may read F and US proof.

export interface UnitChoice {
  temperature: 'C' | 'F'; strength: 'vol' | 'proof'
  /** What a person types volumes, the barometer and weights in; they are told in L, hPa and kg. */
  volume: 'L' | 'US gal' | 'imp gal'; pressure: 'hPa' | 'inHg' | 'mmHg'; mass: 'kg' | 'lb'
  /** A glass in the wash reads specific gravity, or degrees Plato. */
  gravity: 'SG' | 'Plato'
}

export const METRIC: UnitChoice = { temperature: 'C', strength: 'vol', volume: 'L', pressure: 'hPa', mass: 'kg', gravity: 'SG' }

/** A narrow space that does not break, between a number and its unit. */
const GAP = '\u00a0'
export const MINUS = '\u2212'

// US proof at 60 F for 0, 4, 8 .. 100 % vol at 20 C, from the OIML R 22 formula at both temperatures.
export const PROOF_STEP = 4
export const PROOF_AT = [
  0, 7.97, 15.94, 23.91, 31.89, 39.87, 47.86, 55.85, 63.85, 71.86, 79.86, 87.87, 95.88, 103.88,
  111.89, 119.89, 127.9, 135.9, 143.91, 151.92, 159.94, 167.95, 175.96, 183.98, 191.99, 200,
]

/** US proof at 60 F of a strength in % vol at 20 C. */
export function proofOfVol(vol: number): number {
  const place = Math.min(Math.max(vol, 0), 100) / PROOF_STEP
  const below = Math.min(Math.floor(place), PROOF_AT.length - 2)
  const low = PROOF_AT[below] ?? 0
  const high = PROOF_AT[below + 1] ?? 200
  return low + (high - low) * (place - below)
}

/** A number with a set count of decimals and a real minus sign; never "-0". */
export function figure(value: number, decimals: number): string {
  const text = value.toFixed(decimals)
  if (Number(text) === 0) return (0).toFixed(decimals)
  return text.replace('-', MINUS)
}

export const celsiusToF = (celsius: number): number => celsius * 1.8 + 32

export function temperature(celsius: number, units: UnitChoice, decimals = 1): string {
  return units.temperature === 'C'
    ? `${figure(celsius, decimals)}${GAP}°C`
    : `${figure(celsiusToF(celsius), decimals)}${GAP}°F`
}

/** A difference of temperatures, with its sign. */
export function rise(kelvin: number, units: UnitChoice, decimals = 2): string {
  const value = units.temperature === 'C' ? kelvin : kelvin * 1.8
  const text = figure(value, decimals)
  const sign = value > 0 && Number(text) !== 0 ? '+' : ''
  return `${sign}${text}${GAP}${units.temperature === 'C' ? 'K' : '°F'}`
}

export function strength(vol: number, units: UnitChoice, decimals = 1): string {
  return units.strength === 'vol'
    ? `${figure(vol, decimals)}${GAP}%${GAP}vol`
    : `${figure(proofOfVol(vol), decimals)}${GAP}proof`
}

/** Strength as a bare figure, for scales whose unit stands elsewhere. */
export function strengthFigure(vol: number, units: UnitChoice, decimals = 0): string {
  return figure(units.strength === 'vol' ? vol : proofOfVol(vol), decimals)
}

export function litres(value: number): string {
  const size = Math.abs(value)
  const decimals = size < 10 ? 2 : 1
  return `${figure(value, decimals)}${GAP}L`
}

export const millilitres = (value: number): string => `${figure(value, 0)}${GAP}mL`
export const watts = (value: number): string => `${figure(value, 0)}${GAP}W`
export const takeOff = (mlPerMin: number): string =>
  `${figure(mlPerMin, mlPerMin > 0 && mlPerMin < 10 ? 1 : 0)}${GAP}mL/min`
export const flow = (litresPerMin: number): string => `${figure(litresPerMin, 1)}${GAP}L/min`
export const kilograms = (value: number): string => `${figure(value, value < 10 ? 3 : 2)}${GAP}kg`

/** No run lasts so long, s: what is said to come later still is told by its day. */
const LATE_S = 172_800

/** The run's own clock: run seconds to hours and minutes at the place of the run; its day alone where that is days away. */
export function clock(runSeconds: number, startedMs: number, zoneOffsetMinutes: number): string {
  const local = new Date(startedMs + runSeconds * 1000 + zoneOffsetMinutes * 60_000)
  if (runSeconds >= LATE_S) return local.toLocaleDateString('en-GB', { day: 'numeric', month: 'short', timeZone: 'UTC' }).replace(' ', GAP)
  const two = (part: number): string => String(part).padStart(2, '0')
  return `${two(local.getUTCHours())}:${two(local.getUTCMinutes())}`
}

/** How long: "40 s", "12 min", "1 h 05". */
export function duration(seconds: number): string {
  const whole = Math.max(0, Math.round(seconds))
  if (whole < 120) return `${whole}${GAP}s`
  const minutes = Math.round(whole / 60)
  if (minutes < 100) return `${minutes}${GAP}min`
  return `${Math.floor(minutes / 60)}${GAP}h${GAP}${String(minutes % 60).padStart(2, '0')}`
}

/** Hours and minutes from heater on: "1:05". */
export function hours(seconds: number): string {
  const minutes = Math.max(0, Math.round(seconds / 60))
  return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, '0')}`
}

/** A count down: "6:20". */
export function countdown(seconds: number): string {
  const whole = Math.max(0, Math.floor(seconds))
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}`
}

/** Reads a number a person typed; the decimal mark may be a point or a comma. */
export function parseNumber(text: string): number | null {
  const tidy = text.trim().replace(MINUS, '-').replace(/\s/g, '')
  if (!/^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/.test(tidy)) return null
  const value = Number(tidy.replace(',', '.'))
  return Number.isFinite(value) ? value : null
}

export type Quantity = 'temperature' | 'strength' | 'gravity' | 'plain'

export function unitOf(quantity: Quantity, units: UnitChoice): string {
  if (quantity === 'temperature') return units.temperature === 'C' ? '°C' : '°F'
  if (quantity === 'strength') return units.strength === 'vol' ? '% vol' : 'proof'
  return ''
}
