// The lot that is worked on: what was entered last from the jars or the bench, handed from page to page.
import type { ActAnswer } from '../types'

export interface Lot { stand: string; litres: number; vol: number }

class Worked {
  now = $state.raw<Lot | null>(null)

  /** What came out of the act is worked on next; what stands in bottles is done. */
  entered(answer: ActAnswer): void {
    const leg = answer.entries[0]?.to[0]
    if (!leg?.lot || leg.bottles || leg.litres_20c === null || leg.strength_vol === null) return
    this.now = { stand: `${leg.place}/${leg.lot}`, litres: leg.litres_20c, vol: leg.strength_vol }
  }
}

export const worked = new Worked()
