// Lays the plan's forecast on the run's own clock: the ends of its steps are moved to where they are now expected.
import { valueAt } from '../chart/scales'
import type { Advice, Boundary, Forecast, ForecastRow } from '../types'

type When = 'earliest_s' | 'likely_s' | 'latest_s'

interface Anchor { live: number; plan: number }

/** Pairs of run time and forecast time that belong together, from now on. */
export function anchors(forecast: Forecast, advice: Advice, when: When): Anchor[] {
  const ahead = advice.boundaries.filter((bound) => bound.step_index >= advice.step_index && forecast.steps[bound.step_index])
  const first = ahead[0]
  if (!first) return []
  const list: Anchor[] = [{ live: advice.time_s, plan: presentInPlan(forecast, advice, first) }]
  for (const bound of ahead) {
    const plan = forecast.steps[bound.step_index]?.end_s ?? 0
    const last = list[list.length - 1] ?? { live: 0, plan: 0 }
    if (plan > last.plan) list.push({ live: Math.max(bound[when], last.live + 1), plan })
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

export interface Fan { times: number[]; likely: (number | null)[]; low: number[]; high: number[] }

/** A forecast series from now to `to`: its likely course and the range that the uncertain times give. */
export function fan(
  forecast: Forecast, advice: Advice, to: number, floor: number,
  read: (row: ForecastRow) => number | null, count = 90,
): Fan {
  const rows = forecast.rows
  const times = rows.map((row) => row.time_s)
  const values = rows.map(read)
  const courses = (['likely_s', 'earliest_s', 'latest_s'] as const).map((when) => anchors(forecast, advice, when))
  const result: Fan = { times: [], likely: [], low: [], high: [] }
  const main = courses[0] ?? []
  const end = Math.min(to, main[main.length - 1]?.live ?? advice.time_s)
  if (!main.length || end <= advice.time_s) return result
  for (let i = 0; i <= count; i += 1) {
    const at = advice.time_s + ((end - advice.time_s) * i) / count
    const seen = courses.map((course) => {
      const plan = planTime(course, at) ?? course[course.length - 1]?.plan ?? null
      return plan === null ? null : valueAt(times, values, plan)
    })
    const known = seen.filter((value): value is number => value !== null)
    if (!known.length || seen[0] === null) continue
    result.times.push(at)
    result.likely.push(seen[0] ?? null)
    result.low.push(Math.min(...known) - floor)
    result.high.push(Math.max(...known) + floor)
  }
  return result
}

/** The forecast row of the present, for the inside of the column. */
export function presentRow(forecast: Forecast, advice: Advice): ForecastRow | null {
  const plan = anchors(forecast, advice, 'likely_s')[0]?.plan
  if (plan === undefined) return null
  let nearest: ForecastRow | null = null
  for (const row of forecast.rows) {
    if (!nearest || Math.abs(row.time_s - plan) < Math.abs(nearest.time_s - plan)) nearest = row
  }
  return nearest
}
