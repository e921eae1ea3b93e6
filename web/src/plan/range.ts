// How far a forecast may be off because the charge is not known exactly: the forecast again with a little
// more or less of it. Model and still are taken as believed, so the true range is wider.
import type { Forecast, RunPlan } from '../types'
import { endOf, heartsOf } from './words'

/** Standard deviations where the plan names none: 2 % of the litres, 0.4 % vol. */
const LITRES_SD_SHARE = 0.02
const STRENGTH_SD_VOL = 0.4
/** Four runs in five lie within this many standard deviations. */
export const FOUR_IN_FIVE = 1.2816
/** The glass tells no better than this, % vol. */
const STRENGTH_FLOOR_VOL = 0.5 / 1.53

export interface Off { low: number; high: number }
export interface Ranges { heartsLitres: Off; heartsVol: Off | null; end: Off; stepEnds: Off[] }

/** The plans to be forecast besides the plan itself: less and more litres, weaker and stronger. */
export function leaningPlans(plan: RunPlan): RunPlan[] {
  const litres = FOUR_IN_FIVE * (plan.charge.litres_sd ?? plan.charge.litres * LITRES_SD_SHARE)
  const vol = FOUR_IN_FIVE * (plan.charge.strength_sd ?? STRENGTH_SD_VOL)
  const lean = (dl: number, dv: number): RunPlan => ({
    ...plan,
    charge: {
      ...plan.charge,
      // What it has of feints might be more than a leaner one holds; the forecast reckons with the whole.
      feints: undefined,
      litres: Math.min(Math.max(plan.charge.litres + dl, 0.1), plan.still.boiler_litres),
      strength_vol: Math.min(Math.max(plan.charge.strength_vol + dv, 0.1), 96),
    },
  })
  return [lean(-litres, 0), lean(litres, 0), lean(0, -vol), lean(0, vol)]
}

/** Independent doubts of litres and strength, added as squares, to each side. */
export function combine(middle: number, leaning: number[], floor = 0): Off {
  let below = floor * floor
  let above = floor * floor
  for (let i = 0; i + 1 < leaning.length; i += 2) {
    const pair = [(leaning[i] ?? middle) - middle, (leaning[i + 1] ?? middle) - middle]
    below += Math.min(0, ...pair) ** 2
    above += Math.max(0, ...pair) ** 2
  }
  return { low: middle - Math.sqrt(below), high: middle + Math.sqrt(above) }
}

export function rangesOf(forecast: Forecast, leaning: Forecast[]): Ranges {
  const hearts = heartsOf(forecast)
  const of = (read: (f: Forecast) => number): number[] => leaning.map(read)
  return {
    heartsLitres: combine(hearts.litres, of((f) => heartsOf(f).litres)),
    heartsVol: hearts.strengthVol === null ? null : combine(hearts.strengthVol, of((f) => heartsOf(f).strengthVol ?? hearts.strengthVol ?? 0), STRENGTH_FLOOR_VOL),
    end: combine(endOf(forecast), of(endOf)),
    stepEnds: forecast.steps.map((step, i) => combine(step.end_s, of((f) => f.steps[i]?.end_s ?? step.end_s))),
  }
}
