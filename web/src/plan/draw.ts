// What the plan's drawing shows: the forecast's steps as segments, and its jars.
import { isSlow, stepName } from './steps'
import type { Segment } from '../run/strip'
import { WIDER, type Fan } from '../run/warp'
import type { Forecast, ForecastRow, RunPlan } from '../types'

export function planSegments(forecast: Forecast, plan: RunPlan): Segment[] {
  return forecast.steps.map((step, i) => ({
    kind: step.do, slow: isSlow(plan, i), name: stepName(step.do, isSlow(plan, i)), from: step.start_s, to: step.end_s, past: false,
  }))
}

/** A series of the forecast with the least range that the instruments can tell. */
export function course(forecast: Forecast, read: (row: ForecastRow) => number | null, floor: number): Fan {
  const rows = forecast.rows.filter((row) => read(row) !== null)
  const likely = rows.map(read)
  return {
    times: rows.map((row) => row.time_s), likely,
    low: likely.map((value) => (value ?? 0) - floor / WIDER), high: likely.map((value) => (value ?? 0) + floor / WIDER),
    low95: likely.map((value) => (value ?? 0) - floor), high95: likely.map((value) => (value ?? 0) + floor),
  }
}
