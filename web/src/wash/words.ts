// The words of a wash: its sentence, its days, its lines.
import type { Wash, WashForecast, WashLine, WashRecipe } from '../types'
import { MONTHS } from '../days'
import { platoOf } from '../typed'
import { figure, strength, temperature, type UnitChoice } from '../units'

const HOUR_MS = 3_600_000
const DAY_MS = 24 * HOUR_MS
const GAP = '\u00a0'

const local = (ms: number, zone: number): Date => new Date(ms + zone * 60_000)
const two = (part: number): string => String(part).padStart(2, '0')

/** "27 Sept" at the place of the wash. */
export function dayOf(ms: number, zone: number): string {
  const at = local(ms, zone)
  return `${at.getUTCDate()}${GAP}${MONTHS[at.getUTCMonth()] ?? ''}`
}
/** "27 Sept 14:05". */
export function momentOf(ms: number, zone: number): string {
  const at = local(ms, zone)
  return `${dayOf(ms, zone)} ${two(at.getUTCHours())}:${two(at.getUTCMinutes())}`
}
/** A local date and time, as a field gives it, with the zone that this device has then. */
export function zoned(typed: string): string {
  const at = new Date(typed)
  const minutes = -at.getTimezoneOffset()
  const offset = `${minutes < 0 ? '-' : '+'}${two(Math.floor(Math.abs(minutes) / 60))}:${two(Math.abs(minutes) % 60)}`
  return `${new Date(at.getTime() + minutes * 60_000).toISOString().slice(0, 19)}${offset}`
}
export const gravity = (value: number): string => figure(value, 3)
const plato = (value: number): string => `${figure(platoOf(value), 1)}${GAP}°P`
/** Both ways, the reader's own first. */
export const gravityBoth = (value: number, units: UnitChoice): string => (units.gravity === 'Plato' ? `${plato(value)} (${gravity(value)})` : `${gravity(value)} (${plato(value)})`)

/** Days of a span, each at its local midnight. */
export function midnights(fromMs: number, toMs: number, zone: number): number[] {
  const first = Math.ceil((fromMs + zone * 60_000) / DAY_MS) * DAY_MS - zone * 60_000
  const days: number[] = []
  for (let at = first; at <= toMs && days.length < 200; at += DAY_MS) days.push(at)
  return days
}

export const endMs = (wash: Wash, hours: number): number => wash.pitched_ms + hours * HOUR_MS

export interface Sentence { head: string; read: string; end: { day: string; low: string; high: string } | null; vol: string | null }

/** The last gravity that stands and is not doubted. */
export function lastGravity(wash: Wash, forecast: WashForecast | null): WashLine | null {
  const doubted = (line: WashLine): boolean => Boolean(forecast?.doubted.some((one) => one.spoils_the_glass && Math.abs(one.time_h - line.time_h) < 1e-6))
  const read = wash.lines.filter((line) => line.gravity_true !== null && line.struck === null && !doubted(line))
  return read.reduce<WashLine | null>((last, line) => (last === null || line.at_ms >= last.at_ms ? line : last), null)
}

const STATES: Record<WashForecast['state'], string> = {
  working: 'is fermenting.', slow: 'ferments slowly.', stuck: 'is most likely stuck.', finished: 'is most likely finished.',
}

/** What the page says first. */
export function sentenceOf(wash: Wash, forecast: WashForecast | null, units: UnitChoice): Sentence {
  const last = lastGravity(wash, forecast)
  const at = temperature(wash.recipe.reading.hydrometer_true_at_c, units, 0)
  const read = last?.gravity_true == null ? 'No gravity was read yet: this rests on the recipe alone.' : `Gravity ${units.gravity === 'Plato' ? gravityBoth(last.gravity_true, units) : gravity(last.gravity_true)} at ${at}, read ${momentOf(last.at_ms, wash.zone_offset_minutes)}.`
  if (wash.ended) {
    const charge = wash.ended.charge
    const head = charge ? `${wash.title} is a charge.` : `${wash.title} was poured away.`
    return { head, read: charge ? `It went into the account as ${charge.lot ?? ''}: ${figure(charge.litres, 1)}${GAP}L (± ${figure(charge.litres_sd, 1)}) at ${strength(charge.strength_vol, units)} (± ${figure(charge.strength_sd, 2)}).` : wash.ended.reason, end: null, vol: null }
  }
  if (!forecast) return { head: `${wash.title}.`, read, end: null, vol: null }
  const zone = wash.zone_offset_minutes
  const day = (hours: number): string => dayOf(endMs(wash, hours), zone)
  const open = forecast.state === 'working' || forecast.state === 'slow'
  return {
    head: `${wash.title} ${STATES[forecast.state]}`,
    read,
    end: open ? { day: day(forecast.end_h.p50), low: day(forecast.end_h.p10), high: day(forecast.end_h.p90) } : null,
    vol: strength(forecast.final_strength_vol.p50, units),
  }
}

/** A reading or an act in words. */
export function lineWords(line: WashLine, units: UnitChoice): string {
  if (line.kind === 'opened') return 'opened with its recipe'
  if (line.kind === 'recipe') return `recipe stated anew: ${line.note}`
  if (line.kind === 'withdrawn') return `taken back, entry ${line.note}`
  if (line.kind === 'ended') return line.note ? `poured away: ${line.note}` : 'into the still'
  const parts: string[] = []
  if (line.action) parts.push(`${ACTS[line.action] ?? line.action}${line.value === null ? '' : ` ${line.unit === 'C' ? temperature(line.value, units, 0) : `${figure(line.value, line.value % 1 ? 1 : 0)}${GAP}${line.unit ?? ''}`}`}`)
  if (line.gravity !== null) parts.push(`gravity ${figure(line.gravity, Math.abs(line.gravity * 1000 - Math.round(line.gravity * 1000)) > 0.01 ? 4 : 3)}`)
  if (line.temperature_c !== null) parts.push(temperature(line.temperature_c, units))
  if (line.weight_kg !== null) parts.push(`${figure(line.weight_kg, 2)}${GAP}kg`)
  if (line.ph !== null) parts.push(`pH${GAP}${figure(line.ph, 1)}`)
  if (line.note) parts.push(line.note)
  return `${parts.join(', ')}${line.typed ? ` (entered as ${line.typed})` : ''}`
}

export const ACTS: Record<string, string> = { pitch: 'yeast pitched', nutrient: 'nutrient', yeast: 'more yeast', chalk: 'chalk', heater: 'heater set to', moved: 'moved elsewhere' }

/** A usual first recipe of a kind, every value open to change. */
export function usualRecipe(kind: WashRecipe['kind']): WashRecipe {
  const of = {
    sugar: [{ name: 'sucrose' as const, kg: 4.5 }],
    molasses: [{ name: 'molasses' as const, kg: 5, sugar_percent: 50 }, { name: 'sucrose' as const, kg: 1.5 }],
    fruit: [{ name: 'fruit juice' as const, litres: 25, brix: 13 }],
    grain: [{ name: 'malt and grain' as const, kg: 6, extract_percent: 78, mash_efficiency_percent: 70, mash_c: 65, enzyme: false }],
  }
  return {
    format: 1, title: '', start: '', kind, litres: 25, fermentable: of[kind],
    yeast: { kind: kind === 'fruit' ? 'wine' : "distiller's", grams: 25 },
    nutrient: kind === 'sugar' ? [{ at_h: 0, name: 'DAP', grams: 25, yan_mg_per_g: 212 }] : [],
    ...(kind === 'sugar' ? { buffer: { name: 'chalk' } } : {}),
    room: { ambient_c: 20, insulated: false },
    reading: { hydrometer_true_at_c: 20, hydrometer_step: 0.001, sample_discarded_ml: 0 },
  }
}
