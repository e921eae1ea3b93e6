// Lays the plan's forecast on the run's own clock: the ends of its steps are moved to where they are now expected.
import { valueAt } from '../chart/scales'
import type { Band, Knowledge } from '../knowledge'
import type { Forecast, ForecastRow } from '../types'

interface Anchor { live: number; plan: number }

/** How much wider the 95 % range is than the 80 % range, where only that is known. */
export const WIDER = 1.53

export type Level = keyof Band
const LEVELS: readonly Level[] = ['p50', 'p10', 'p90', 'p025', 'p975']

/** Pairs of run time and forecast time that belong together, from now on: ends as early or late as the level says. */
export function anchors(forecast: Forecast, known: Knowledge, level: Level): Anchor[] {
  const ahead = known.ends.flatMap((end) => {
    const step = end.step_index === null ? undefined : forecast.steps[end.step_index]
    return step ? [{ at: end.at, step }] : []
  })
  const first = ahead[0]
  if (!first) return []
  const list: Anchor[] = [{ live: known.time_s, plan: presentInPlan(known, first.at, first.step) }]
  for (const { at, step } of ahead) {
    const last = list[list.length - 1] ?? { live: 0, plan: 0 }
    if (step.end_s > last.plan) list.push({ live: Math.max(at[level], last.live + 1), plan: step.end_s })
  }
  return list
}

/** Where in the forecast the present stands: as far through its step as the step is expected to last. */
function presentInPlan(known: Knowledge, end: Band, step: Forecast['steps'][number]): number {
  const whole = end.p50 - known.step.started_s
  const part = whole > 0 ? (known.time_s - known.step.started_s) / whole : 1
  return step.start_s + (step.end_s - step.start_s) * Math.min(Math.max(part, 0), 0.999)
}

/** Forecast time of a run time, or null past the end of what is forecast. */
export function planTime(list: Anchor[], live: number): number | null {
  return valueAt(list.map((anchor) => anchor.live), list.map((anchor) => anchor.plan), live)
}

export interface Fan { times: number[]; likely: (number | null)[]; low: number[]; high: number[]; low95: number[]; high95: number[] }
const noFan = (): Fan => ({ times: [], likely: [], low: [], high: [], low95: [], high95: [] })

/** A forecast series from now to `to`: its likely course and the ranges that the uncertain times give, never narrower than `floor`. */
export function fan(
  forecast: Forecast, known: Knowledge, to: number, floor: number,
  read: (row: ForecastRow) => number | null, count = 90,
): Fan {
  const times = forecast.rows.map((row) => row.time_s)
  const values = forecast.rows.map(read)
  const courses = LEVELS.map((level) => anchors(forecast, known, level))
  const lanes = courses.map((course) => ({ live: course.map((anchor) => anchor.live), plan: course.map((anchor) => anchor.plan) }))
  const result = noFan()
  const main = courses[0] ?? []
  const end = Math.min(to, main[main.length - 1]?.live ?? known.time_s)
  if (!main.length || end <= known.time_s) return result
  for (let i = 0; i <= count; i += 1) {
    const at = known.time_s + ((end - known.time_s) * i) / count
    const seen = lanes.map(({ live, plan: plans }) => {
      const plan = valueAt(live, plans, at) ?? plans[plans.length - 1] ?? null
      return plan === null ? null : valueAt(times, values, plan)
    })
    const there = (some: (number | null)[]): number[] => some.filter((value): value is number => value !== null)
    if (seen[0] === null || seen[0] === undefined) continue
    const near = there(seen.slice(0, 3))
    const all = there(seen)
    result.times.push(at)
    result.likely.push(seen[0] ?? null)
    result.low.push(Math.min(...near) - floor / WIDER)
    result.high.push(Math.max(...near) + floor / WIDER)
    result.low95.push(Math.min(...all) - floor)
    result.high95.push(Math.max(...all) + floor)
  }
  return result
}

const ORDER = ['p025', 'p10', 'p50', 'p90', 'p975'] as const

/**
 * Litres collected from `now`, or from when the hearts should begin, to the end of the hearts: each quantile rises to its own end
 * and stays there; the bands are what lies between. Never below what is in the jars when they begin.
 */
export function collectedFan(ends: Band | null, come: Band | null, now: number, level: number, to: number, count = 60): Fan | null {
  if (!ends || !come || ends.p975 <= now) return null
  const last = Math.min(Math.max(ends.p975, now + 60), to)
  if (last <= now) return null
  const result = noFan()
  const courses = ORDER.map((name) => ({ end: Math.max(ends[name], now + 1), litres: Math.max(come[name], 0) }))
  for (let i = 0; i <= count; i += 1) {
    const at = now + ((last - now) * i) / count
    const [a = 0, b = 0, middle = 0, d = 0, e = 0] = courses.map(({ end, litres }) => level + litres * Math.min((at - now) / (end - now), 1))
    result.times.push(at)
    result.likely.push(middle)
    result.low.push(Math.min(b, middle, d))
    result.high.push(Math.max(b, middle, d))
    result.low95.push(Math.min(a, b, middle, d, e))
    result.high95.push(Math.max(a, b, middle, d, e))
  }
  return result
}

/** The forecast row of the present, for the inside of the column. */
export function presentRow(forecast: Forecast, known: Knowledge): ForecastRow | null {
  const plan = anchors(forecast, known, 'p50')[0]?.plan
  if (plan === undefined) return null
  let nearest: ForecastRow | null = null
  for (const row of forecast.rows) {
    if (!nearest || Math.abs(row.time_s - plan) < Math.abs(nearest.time_s - plan)) nearest = row
  }
  return nearest
}
