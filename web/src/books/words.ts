// The words of the book: kinds of entry, places, and a leg as it is typed.
import { typedUnit } from '../typed'
import type { AccountEntry } from '../types'
import type { UnitChoice } from '../units'

/** Every kind of entry a person may make, by what was done. */
export const KINDS: Record<string, string> = {
  ferment: 'a wash has fermented', receive: 'came from outside', charge: 'a still was charged', distil: 'distilled', blend: 'put together', feints: 'kept as feints', reduce: 'reduced with water',
  carbon: 'through carbon or a filter', macerate: 'on fruit, herbs or wood', fill_cask: 'a cask was filled', regauge: 'gauged again', dump_cask: 'a cask was emptied', bottle: 'bottled',
  transfer: 'moved to another vessel', sample: 'a sample was drawn', remove: 'sold, given, used', destroy: 'destroyed', lose: 'lost', gain: 'found to be more', stock_take: 'counted', close: 'period closed', void: 'taken back',
}

/** A kind of place, as something that stands there or is gone there. */
const PLACES: Record<string, string> = {
  fermented: 'fermented', received: 'received', found: 'found', wash: 'wash', pot: 'charge', jar: 'jars', low_wines: 'low wines', feints: 'feints', tank: 'tanks', bed: 'carbon', cask: 'casks', bottles: 'bottles',
  sample: 'samples', removed: 'sent out', destroyed: 'destroyed', not_explained: 'not explained', loss: 'lost',
  'loss:vapour': 'vapour', 'loss:residue': 'left in the pot', 'loss:column': 'left in the column', 'loss:foreshots': 'foreshots', 'loss:wash': 'lees, spilt wash', 'loss:transfer': 'hoses, funnels',
  'loss:carbon': 'carbon, filter', 'loss:maceration': 'fruit and herbs', 'loss:cask': 'through the wood', 'loss:bottling': 'at the filling', 'loss:breakage': 'broken', 'loss:spill': 'spilt', 'loss:evaporation': 'into the air',
}

/** A place in words: what it is, and the name of the vessel behind it. */
export function placeWords(place: string): string {
  const known = PLACES[place]
  if (known) return known
  const [kind = '', name = ''] = place.split(':')
  return `${VESSEL[kind] ?? PLACES[kind] ?? kind} ${name}`.trim()
}

/** A place in words beside the lot in it: the name that both have is not said twice. */
export function whereWords(place: string, lot: string | null): string {
  const [kind = '', name = ''] = place.split(':')
  const same = name !== '' && (lot === name || lot === `${name}-feints`)
  return same ? (VESSEL[kind] ?? PLACES[kind] ?? kind).replace(/,$/, '') : placeWords(place)
}

/** A lot where it stands. */
export const standWords = (place: string, lot: string | null): string => (lot === null ? placeWords(place) : `${whereWords(place, lot)}, ${lot}`)

/** One vessel of a kind. */
const VESSEL: Record<string, string> = { jar: 'jar', tank: 'tank', cask: 'cask', bed: 'carbon', sample: 'sample:', removed: 'to', destroyed: 'destroyed:', received: 'from', found: 'found:', fermented: 'fermented', bottles: 'bottles,' }

/** What stays in a stage, by the kind of vessel. */
export const STAYS: Record<string, string> = { wash: 'wash standing', pot: 'in the pot', jar: 'in jars', low_wines: 'low wines kept', feints: 'feints kept', tank: 'in tanks', bed: 'in the carbon', cask: 'in casks', bottles: 'on the shelf' }

/** Where something went that is no next stage. */
export const elsewhere = (stage: string): string => `to the ${PLACES[stage] ?? stage}`

/** An entry in one line: what was done, of what, to what. */
export function entryWords(entry: AccountEntry): string {
  const said = KINDS[entry.kind] ?? entry.kind
  const legs = (side: AccountEntry['from']): string => {
    const stand = side.filter(({ lot }) => lot !== null)
    const first = stand[0]
    if (!first) return ''
    const bottles = first.bottles ? `${first.bottles} bottles, ` : ''
    const vol = first.strength_vol === null ? '' : `, ${first.strength_vol.toFixed(1)} % vol`
    return `${bottles}${first.lot}${vol}${stand.length > 1 ? ` and ${stand.length - 1} more` : ''}`
  }
  const [from, to] = [legs(entry.from), legs(entry.to)]
  return `${said.charAt(0).toUpperCase()}${said.slice(1)}${from || to ? `: ${from}${from && to && from !== to ? ' → ' : ''}${to === from ? '' : to}` : ''}`
}

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec']

/** The moment of an act as its own zone has it: "3 Oct 16:05", with the year where it is another one. */
export function actWords(moment: string, year: number): string {
  const found = /^(\d{4})-(\d\d)-(\d\d)T(\d\d:\d\d)/.exec(moment)
  if (!found) return moment
  const [, of = '', month = '', day = '', time = ''] = found
  return `${Number(day)} ${MONTHS[Number(month) - 1] ?? ''}${Number(of) === year ? '' : ` ${of}`} ${time}`
}

/** A leg of the form: where, and how much. Units other than the record's own are sent with the numbers, and kept with them. */
export interface Leg { kind: string; name: string; lot: string; how: How; amount: string; strength: string; bottles: string; size: string; volumeUnit: string; strengthUnit: string; sizeUnit: string }
export type How = 'all' | 'rest' | 'pure' | 'litres' | 'liquid' | 'bottles' | 'gauged'

export const HOWS: Record<How, string> = { all: 'all of it', rest: 'what is left over', liquid: 'volume and strength', pure: 'pure alcohol', litres: 'L of pure alcohol', bottles: 'bottles', gauged: 'as gauged' }

/** A new leg, in the units a person types in. */
export const freshLeg = (kind: string, how: How, units?: UnitChoice): Leg => ({
  kind, name: '', lot: '', how, amount: '', strength: '', bottles: '', size: '700',
  volumeUnit: (units && typedUnit('plain', units, 'L')) ?? '', strengthUnit: (units && typedUnit('strength', units)) ?? '', sizeUnit: '',
})

/** A leg of an entry as it would be typed to enter it again: as it was, where its entry keeps that; `at` is its place in that, as `from[0]`. */
export function legOf(leg: AccountEntry['from'][number], entry: AccountEntry, metric: boolean, at = ''): Leg {
  const typed = (key: string, own: number): [string, string] => {
    const found = entry.typed.find(({ field }) => field === `${at}.${key}`)
    return found ? [String(found.value), found.unit] : [String(own), '']
  }
  const isLoss = leg.place.startsWith('loss:')
  const [kind = '', name = ''] = isLoss ? [leg.place] : leg.place.split(':')
  const filled = { ...freshLeg(kind, metric ? 'pure' : 'litres'), name, lot: leg.lot ?? '', amount: leg.pure_alcohol_l.toFixed(9).replace(/\.?0+$/, '') }
  const { litres_20c, strength_vol, bottles, bottle_ml } = leg
  if (litres_20c === null || strength_vol === null) return filled
  const isRead = entry.gauge?.litres_20c === litres_20c && entry.gauge.strength_vol === strength_vol
  if (isRead) return { ...filled, how: 'gauged' }
  const [strength, strengthUnit] = typed('strength_vol', strength_vol)
  if (bottles !== null && bottle_ml !== null) {
    const [size, sizeUnit] = typed('bottle_ml', bottle_ml)
    return { ...filled, how: 'bottles', bottles: String(bottles), size, sizeUnit, strength, strengthUnit }
  }
  const [amount, volumeUnit] = typed('litres_20c', litres_20c)
  return { ...filled, how: 'liquid', amount, volumeUnit, strength, strengthUnit }
}

/** Where an entry brings to, to be entered again: the last loss or sample takes what is left over. */
export function legsTo(entry: AccountEntry, metric: boolean): Leg[] {
  const legs = entry.to.map((leg, i) => legOf(leg, entry, metric, `to[${i}]`))
  const gone = entry.to.map((leg) => leg.lot === null).lastIndexOf(true)
  return legs.map((leg, i) => (i === gone && legs.length > 1 ? { ...leg, how: 'rest' as const } : leg))
}

/** Whether another entry may take its place: what stands no more is corrected by its own correction. */
export const correctable = (entry: AccountEntry): boolean => entry.corrected_by === null && !['close', 'void'].includes(entry.kind)

/** What a count was of, and what its loss was put down to: the other side of it. */
export function countOf(entry: AccountEntry): { place: string; lot: string; lostTo: string } {
  const stock = [...entry.from, ...entry.to].find(({ lot }) => lot !== null)
  const gone = entry.to.find(({ lot, place }) => lot === null && place !== 'not_explained')
  return { place: stock?.place ?? '', lot: stock?.lot ?? '', lostTo: gone?.place ?? '' }
}

/** Letters behind pure alcohol in the unit of a profile. */
const UNIT = { metric: '', us: 'pg', eu: 'hl' } as const
const tidy = (typed: string): string => typed.trim().replace(',', '.')
const withUnit = (typed: string, unit: string): string => (unit ? `${tidy(typed)} ${unit}` : tidy(typed))

/** The leg as the server reads it. */
export function legText(leg: Leg, profile: keyof typeof UNIT): string {
  const place = leg.name.trim() && !leg.kind.includes(':') ? `${leg.kind}:${leg.name.trim()}` : leg.kind
  const amounts: Record<How, string> = {
    all: 'all', rest: 'rest', gauged: 'gauged', litres: tidy(leg.amount), pure: `${tidy(leg.amount)}${UNIT[profile]}`, liquid: `${withUnit(leg.amount, leg.volumeUnit)}@${withUnit(leg.strength, leg.strengthUnit)}`,
    bottles: `${tidy(leg.bottles)}x${withUnit(leg.size, leg.sizeUnit)}@${withUnit(leg.strength, leg.strengthUnit)}`,
  }
  return `${place}${leg.lot.trim() ? `/${leg.lot.trim()}` : ''}=${amounts[leg.how]}`
}

const TYPED: Record<string, string> = {
  litres_20c: 'volume', litres: 'litres', kg: 'weight', quantity: 'how much was read', strength_vol: 'strength', vol: 'strength', from: 'strength', to: 'strength wanted', label: 'label', bottle_ml: 'size of a bottle',
  pure_alcohol_l: 'pure alcohol', found_l: 'what was found', celsius: 'temperature', reading: 'what the glass read', solids: 'herbs or fruit', gauged: 'gauged',
}
/** Which number of an entry was typed so: `to[1].strength_vol` is the strength of the second place it goes to. */
export function typedOf(field: string): string {
  const last = field.replace(/\[\d+\]$/, '').split('.').at(-1) ?? field
  const side = /^(from|to)\[(\d+)\]/.exec(field)
  const place = side ? `, ${side[1] === 'from' ? 'from' : 'to'}${side[2] === '0' ? '' : ` no. ${Number(side[2]) + 1}`}` : ''
  return `${TYPED[last] ?? last.replaceAll('_', ' ')}${place}`
}
