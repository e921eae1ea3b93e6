// What this device remembers of its reader: units, light or dark, which house is open, who writes.
import { METRIC, type UnitChoice } from './units'

export type Look = 'device' | 'light' | 'dark'
export type HouseMode = 'none' | 'example' | 'own'

const KEY = 'middlecut'

/** How the book is read and who writes in it, as this device knows. */
export interface BookChoice { profile: 'metric' | 'us' | 'eu'; kwh: string; water: string }

interface Kept { units: UnitChoice; look: Look; house: HouseMode; person: string; glass: string; book: BookChoice }

function recall(): Kept {
  const usual: Kept = { units: METRIC, look: 'device', house: 'none', person: '', glass: '', book: { profile: 'metric', kwh: '', water: '' } }
  try {
    const text = localStorage.getItem(KEY)
    const kept = text ? (JSON.parse(text) as Partial<Kept>) : {}
    return { ...usual, ...kept, units: { ...METRIC, ...kept.units } }
  } catch {
    return usual
  }
}

class Prefs {
  #kept = $state<Kept>(recall())

  get units(): UnitChoice { return this.#kept.units }
  set units(units: UnitChoice) { this.#keep({ units }) }
  get look(): Look { return this.#kept.look }
  set look(look: Look) { this.#keep({ look }) }
  get house(): HouseMode { return this.#kept.house }
  set house(house: HouseMode) { this.#keep({ house }) }
  /** Who writes in the book at this device. */
  get person(): string { return this.#kept.person }
  set person(person: string) { this.#keep({ person }) }
  /** With what jars are gauged at this device. */
  get glass(): string { return this.#kept.glass }
  set glass(glass: string) { this.#keep({ glass }) }
  get book(): BookChoice { return this.#kept.book }
  set book(book: BookChoice) { this.#keep({ book }) }

  #keep(part: Partial<Kept>): void {
    this.#kept = { ...this.#kept, ...part }
    try {
      localStorage.setItem(KEY, JSON.stringify(this.#kept))
    } catch {
      // A private window keeps nothing: the choice lasts until the tab closes.
    }
  }
}

export const prefs = new Prefs()
