// Where the lines of the river stand: bars, bands between them, and what falls away with its words.
import type { Stage } from '../types'
import { elsewhere, placeWords, STAYS } from './words'

export type Look = 'before' | 'clear' | 'gone' | 'feints' | 'foreshots' | 'open'
export interface Fall { d: string; look: Look; words: string; amount: string; x: number; y: number; anchor: 'start' | 'end' }
export interface Bar { x: number; y: number; width: number; height: number; name: string; amount: string; nameX: number; nameY: number; amountX: number; amountY: number; anchor: 'start' | 'end' }
export interface Band { d: string; look: Look }
export interface River { width: number; height: number; bars: Bar[]; bands: Band[]; falls: Fall[] }

/** One stage as it is drawn: what goes on in the river, what falls away. */
interface Drawn { place: string; litres: number; amount: string; on: number; falls: { litres: number; amount: string; words: string; look: Look }[] }

const lookOf = (place: string): Look => (place === 'not_explained' ? 'open' : place === 'loss:foreshots' ? 'foreshots' : 'gone')

/** The stages in order; before them what came from sugar. */
export function drawnOf(stages: readonly Stage[]): Drawn[] {
  const list = stages.map((stage, i): Drawn => {
    const next = stages[i + 1]?.place
    const on = stage.went.find(({ place }) => place === next)
    const last = i === stages.length - 1
    return {
      place: stage.place, litres: stage.through_l, amount: stage.reported, on: on?.pure_alcohol_l ?? 0,
      falls: [
        ...(last ? [] : stage.stays.map((part) => ({ litres: part.pure_alcohol_l, amount: part.reported, words: STAYS[part.place] ?? part.place, look: part.place === 'feints' || part.place === 'low_wines' ? 'feints' as const : 'clear' as const }))),
        ...stage.went.filter(({ place }) => place !== next).map((part) => ({ litres: part.pure_alcohol_l, amount: part.reported, words: elsewhere(part.place), look: 'clear' as const })),
        ...stage.away.filter(({ pure_alcohol_l }) => pure_alcohol_l > 0).map((part) => ({ litres: part.pure_alcohol_l, amount: part.reported, words: placeWords(part.place), look: lookOf(part.place) })),
      ],
    }
  })
  const first = stages[0]?.came.find(({ place }) => place === 'fermented')
  return first ? [{ place: 'fermented', litres: first.pure_alcohol_l, amount: first.reported, on: first.pure_alcohol_l, falls: [] }, ...list] : list
}

const NAMES: Record<string, string> = { fermented: 'from sugar', pot: 'charge' }
const nameOf = (place: string): string => NAMES[place] ?? placeWords(place)
const bandLook = (place: string): Look => (place === 'fermented' || place === 'wash' ? 'before' : 'clear')

/** Least room of a stage beside the next one, px: its words stand in it. */
const COLUMN = 190
const HIGH = 200
const TOP = 46
const STEP = 27
/** What amounts and words beside the river take where there is room, px. */
const WORDS = 330

export function riverOf(stages: readonly Stage[], width: number): River {
  const drawn = drawnOf(stages)
  const most = Math.max(...drawn.map(({ litres }) => litres), 1e-9)
  return width >= COLUMN * drawn.length ? across(drawn, width, HIGH / most) : down(drawn, width, most)
}

/** From left to right; what falls away falls down. */
function across(drawn: readonly Drawn[], width: number, scale: number): River {
  const river: River = { width, height: 0, bars: [], bands: [], falls: [] }
  const column = (width - 14) / Math.max(drawn.length - 0.35, 1)
  drawn.forEach((stage, i) => {
    const x = i * column
    const high = Math.max(stage.litres * scale, 2)
    river.bars.push({ x, y: TOP, width: 14, height: high, name: nameOf(stage.place), amount: stage.amount, nameX: x, nameY: 16, amountX: x, amountY: 36, anchor: 'start' })
    const on = stage.on * scale
    if (drawn[i + 1]) river.bands.push({ d: `M${x + 14} ${TOP}H${x + column}V${TOP + on}H${x + 14}Z`, look: bandLook(stage.place) })
    let from = TOP + on
    let y = TOP + on
    for (const fall of stage.falls) {
      const thick = Math.max(fall.litres * scale, 1.5)
      y = Math.max(y + STEP, from + thick / 2 + 16)
      const [end, half] = [x + 44, thick / 2]
      river.falls.push({ d: `M${x + 14} ${from}C${x + 34} ${from} ${x + 24} ${y - half} ${end} ${y - half}V${y + half}C${x + 24} ${y + half} ${x + 34} ${from + thick} ${x + 14} ${from + thick}Z`, look: fall.look, words: fall.words, amount: fall.amount, x: end + 8, y: y + 5, anchor: 'start' })
      from += fall.litres * scale
      y = Math.max(y, y + half - STEP / 2)
    }
    river.height = Math.max(river.height, TOP + high + 4, y + 20)
  })
  return river
}

/** From top to bottom; what falls away falls to the right. */
function down(drawn: readonly Drawn[], width: number, most: number): River {
  const [wide, end] = [Math.max(0.42 * width, width - WORDS), Math.max(0.46 * width, width - WORDS + 32)]
  const scale = wide / most
  const river: River = { width, height: 0, bars: [], bands: [], falls: [] }
  let top = 0
  drawn.forEach((stage, i) => {
    const long = Math.max(stage.litres * scale, 2)
    const y = top + 26
    river.bars.push({ x: 0, y, width: long, height: 12, name: nameOf(stage.place), amount: stage.amount, nameX: 0, nameY: top + 16, amountX: width, amountY: top + 16, anchor: 'end' })
    const on = stage.on * scale
    let right = Math.max(long, on)
    let at = y + 12
    for (const fall of [...stage.falls].reverse()) {
      const thick = Math.max(fall.litres * scale, 1.5)
      const left = right - fall.litres * scale
      at += Math.max(STEP, thick / 2 + 14)
      const half = thick / 2
      river.falls.push({ d: `M${left} ${y + 12}C${left} ${at + half} ${left + 8} ${at + half} ${end} ${at + half}V${at - half}C${right} ${at - half} ${right} ${at - half - 6} ${Math.max(right, left + 1.5)} ${y + 12}Z`, look: fall.look, words: fall.words, amount: fall.amount, x: width, y: at + 5, anchor: 'end' })
      at += half > 13 ? half - 13 : 0
      right = left
    }
    const next = at + (stage.falls.length ? 24 : 30)
    if (drawn[i + 1]) river.bands.push({ d: `M0 ${y + 12}H${on}V${next + 26}H0Z`, look: bandLook(stage.place) })
    river.height = Math.max(y + 16, at + 14)
    top = next
  })
  return river
}
