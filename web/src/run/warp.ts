// Lays the plan's forecast on the run's own clock: the ends of its steps are moved to where they are now expected.
import { valueAt } from '../chart/scales'
import type { Advice, Boundary, Forecast, ForecastRow } from '../types'

interface Anchor { live: number; plan: number }

/** How much wider the 95 % range is than the 80 % range that the advice gives. */
export const WIDER = 1.53

/** When a step may end: -1 the earliest of the 80 % range, 0 the likeliest, 1 the latest; beyond that, wider. */
export function endAt(bound: Boundary, lean: number): number {
  const side = lean < 0 ? bound.likely_s - bound.earliest_s : bound.latest_s - bound.likely_s
  return bound.likely_s + lean * side
}

/** Pairs of run time and forecast time that belong together, from now on. */
export function anchors(forecast: Forecast, advice: Advice, lean: number): Anchor[] {
  const ahead = advice.boundaries.filter((bound) => bound.step_index >= advice.step_index && forecast.steps[bound.step_index])
  const first = ahead[0]
  if (!first) return []
  const list: Anchor[] = [{ live: advice.time_s, plan: presentInPlan(forecast, advice, first) }]
  for (const bound of ahead) {
    const plan = forecast.steps[bound.step_index]?.end_s ?? 0
    const last = list[list.length - 1] ?? { live: 0, plan: 0 }
    if (plan > last.plan) list.push({ live: Math.max(endAt(bound, lean), last.live + 1), plan })
  }
  return list
}

/** Where in the forecast the present stands: as far through its step as the step is expected to last. */
function presentInPlan(forecast: Forecast, advice: Advice, bound: Boundary): number {
  const step = forecast.steps[bound.step_index]
  if (!step) return advice.time_s
  const whole = bound.likely_s - advice.step_started_s
  const part = whole > 0 ? (advice.time_s - advice.step_started_s) / whole : 1
  return step.start_s + (step.end_s - step.start_s) * Math.min(Math.max(part, 0), 0.999)
}

/** Forecast time of a run time, or null past the end of what is forecast. */
export function planTime(list: Anchor[], live: number): number | null {
  const times = list.map((anchor) => anchor.live)
  return valueAt(times, list.map((anchor) => anchor.plan), live)
}

export interface Fan { times: number[]; likely: (number | null)[]; low: number[]; high: number[]; low95: number[]; high95: number[] }

/** A forecast series from now to `to`: its likely course and the ranges that the uncertain times give, never narrower than `floor`. */
export function fan(
  forecast: Forecast, advice: Advice, to: number, floor: number,
  read: (row: ForecastRow) => number | null, count = 90,
): Fan {
  const rows = forecast.rows
  const times = rows.map((row) => row.time_s)
  const values = rows.map(read)
  const courses = [0, -1, 1, -WIDER, WIDER].map((lean) => anchors(forecast, advice, lean))
  const result: Fan = { times: [], likely: [], low: [], high: [], low95: [], high95: [] }
  const main = courses[0] ?? []
  const end = Math.min(to, main[main.length - 1]?.live ?? advice.time_s)
  if (!main.length || end <= advice.time_s) return result
  for (let i = 0; i <= count; i += 1) {
    const at = advice.time_s + ((end - advice.time_s) * i) / count
    const seen = courses.map((course) => {
      const plan = planTime(course, at) ?? course[course.length - 1]?.plan ?? null
      return plan === null ? null : valueAt(times, values, plan)
    })
    const known = (values: (number | null)[]): number[] => values.filter((value): value is number => value !== null)
    if (seen[0] === null || seen[0] === undefined) continue
    const near = known(seen.slice(0, 3))
    const all = known(seen)
    result.times.push(at)
    result.likely.push(seen[0] ?? null)
    result.low.push(Math.min(...near) - floor / WIDER)
    result.high.push(Math.max(...near) + floor / WIDER)
    result.low95.push(Math.min(...all) - floor)
    result.high95.push(Math.max(...all) + floor)
  }
  return result
}

/** The forecast row of the present, for the inside of the column. */
export function presentRow(forecast: Forecast, advice: Advice): ForecastRow | null {
  const plan = anchors(forecast, advice, 0)[0]?.plan
  if (plan === undefined) return null
  let nearest: ForecastRow | null = null
  for (const row of forecast.rows) {
    if (!nearest || Math.abs(row.time_s - plan) < Math.abs(nearest.time_s - plan)) nearest = row
  }
  return nearest
}
