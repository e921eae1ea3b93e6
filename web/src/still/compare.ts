// Runs of one still beside each other: what each had risen to when as much pure alcohol had been taken.
import type { Columns } from '../types'

/** One run on the axis of pure alcohol taken, litres. */
export interface Taken { id: string; title: string; pure: number[]; rise: (number | null)[] }

/** The last runs that are drawn; more would hide each other. */
export const RUNS_MOST = 6

/**
 * Pure alcohol taken at each row, from the litres collected and the strength reckoned for that moment. Rows before the take-off are left
 * out; where no strength is known nothing is added. `rise` is the one against the plateau as it was known in the end.
 */
export function takenOf(id: string, title: string, columns: Columns, rise: readonly (number | null)[] = columns.rise_k): Taken {
  const taken: Taken = { id, title, pure: [], rise: [] }
  let pure = 0
  let before: number | null = null
  for (let i = 0; i < columns.time_s.length; i += 1) {
    const litres = columns.litres[i] ?? null
    if (litres === null) continue
    const drawn: number = before === null ? 0 : Math.max(litres - before, 0)
    before = litres
    pure += (drawn * (columns.strength_vol[i] ?? 0)) / 100
    if (pure <= 0) continue
    taken.pure.push(pure)
    taken.rise.push(rise[i] ?? null)
  }
  return taken
}

/** Litres of pure alcohol at which a run first rose for good past a height; none if it never did. */
export function takenAtRise(run: Taken, kelvin: number): number | null {
  for (let i = run.rise.length - 1; i >= 0; i -= 1) {
    const rise = run.rise[i]
    if (rise !== null && rise !== undefined && rise < kelvin) return i + 1 < run.pure.length ? (run.pure[i + 1] ?? null) : null
  }
  return null
}
