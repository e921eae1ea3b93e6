// What the plan's drawing shows: the forecast's steps as segments, and its jars.
import { isSlow, stepName } from './steps'
import type { Segment } from '../run/strip'
import { WIDER, type Fan } from '../run/warp'
import type { Forecast, ForecastRow, Jar, RunPlan } from '../types'

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

/** What one jar holds, mL, by the boiler: the size that the live engine takes. */
export function jarSize(boilerLitres: number): number {
  return Math.min(Math.max(Math.round(boilerLitres * 0.4) * 50, 200), 2000)
}

const WORDS: Partial<Record<string, string>> = { foreshots: 'discard', heads: 'sharp', hearts: 'clean', tails: 'oily' }

/** The jars a run should fill: each fraction in jars of one size, a new jar for each step. */
export function planJars(forecast: Forecast, plan: RunPlan): Jar[] {
  if (forecast.jars.length) return forecast.jars
  const size = jarSize(plan.still.boiler_litres)
  const jars: Jar[] = []
  forecast.steps.forEach((step, index) => {
    const ml = 1000 * (step.litres_20c ?? 0)
    const count = Math.min(Math.ceil(ml / size), 100)
    const at = (share: number): number => step.start_s + (step.end_s - step.start_s) * share
    for (let i = 0; i < count; i += 1) {
      const late = step.do === 'heads' && i > 0 ? 'faint' : isSlow(plan, index) ? 'faint_late' : (WORDS[step.do] ?? 'clean')
      jars.push({
        number: jars.length + 1, cut: step.do, start_s: at(i / count), end_s: at((i + 1) / count), volume_ml: ml / count, measured: false,
        strength_vol: step.strength_vol, strength_read: false, status: 'expected', cleanliness: late,
      })
    }
  })
  return jars
}
