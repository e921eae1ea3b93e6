// What the run strip draws, before it is drawn: the window of time, steps past and to come.
import type { Advice, Columns, Jar, LiveEvent, RunPlan, StepKind } from '../types'
import { isSlow, stepName } from './sentence'
import { endAt, WIDER } from './warp'

export interface Segment { kind: StepKind; slow: boolean; name: string; from: number; to: number; past: boolean }
export interface Mark {
  name: string; earliest: number; likely: number; latest: number
  /** Which step of the plan it ends. */
  index?: number
  /** The 95 % range, where it is known by itself. */
  widest?: [number, number]
  /** Drawn, but not to be trusted now. */
  unsure?: boolean
}

const KINDS: StepKind[] = ['heat', 'equalise', 'foreshots', 'heads', 'hearts', 'tails', 'stop']

/** When each step so far began, oldest first: what was said, and the running one. */
export function begun(events: LiveEvent[], plan: RunPlan, advice: Advice): { index: number; at: number }[] {
  const list: { index: number; at: number }[] = [{ index: 0, at: 0 }]
  for (const event of events) {
    if (event.kind !== 'step') continue
    const last = list[list.length - 1] ?? { index: 0, at: 0 }
    const kind = KINDS.find((name) => event.code === name || event.code === `step_${name}`)
      ?? (event.code.includes('slow') ? 'hearts' : undefined)
    if (!kind || (kind === 'heat' && last.index === 0)) continue
    const index = plan.step.findIndex((step, i) => i > last.index && step.do === kind)
    if (index > last.index && index <= advice.step_index) list.push({ index, at: event.time_s })
  }
  const last = list[list.length - 1]
  if (last && last.index < advice.step_index) list.push({ index: advice.step_index, at: advice.step_started_s })
  return list
}

export function segments(events: LiveEvent[], plan: RunPlan, advice: Advice, live: boolean): Segment[] {
  const now = advice.time_s
  const piece = (index: number, from: number, to: number, past: boolean): Segment => {
    const kind = plan.step[index]?.do ?? 'stop'
    const slow = isSlow(plan, index)
    return { kind, slow, name: kind === 'stop' ? 'cooling' : stepName(kind, slow), from, to, past }
  }
  const so = begun(events, plan, advice)
  const list = so.map((step, i) => piece(step.index, step.at, so[i + 1]?.at ?? now, true))
  if (!live) return list
  let from = now
  for (const bound of advice.boundaries) {
    if (bound.step_index < advice.step_index) continue
    if (bound.likely_s > from) list.push(piece(bound.step_index, from, bound.likely_s, false))
    from = Math.max(from, bound.likely_s)
  }
  return list
}

const ENDS: Partial<Record<StepKind, string>> = { heat: 'filled', equalise: 'steady', foreshots: 'heads begin', heads: 'hearts begin', tails: 'stop' }

/** The ends of steps still to come, named by what then begins. */
export function marks(plan: RunPlan, advice: Advice): Mark[] {
  return advice.boundaries
    .filter((bound) => bound.step_index >= advice.step_index && bound.likely_s > advice.time_s)
    .map((bound) => ({ name: endName(plan, bound.step_index), index: bound.step_index, earliest: bound.earliest_s, likely: bound.likely_s, latest: bound.latest_s }))
}

/** What the end of a step is called: by what then begins. */
export function endName(plan: RunPlan, index: number): string {
  const kind = plan.step[index]?.do ?? 'stop'
  if (kind !== 'hearts') return ENDS[kind] ?? ''
  if (plan.step[index + 1]?.do === 'tails') return 'tails begin'
  if (isSlow(plan, index + 1)) return 'fast hearts end'
  return isSlow(plan, index) ? 'hearts over' : 'hearts end'
}

/** Jars to draw: one that was measured after all is not drawn once more as open. */
export function drawnJars(jars: Jar[]): Jar[] {
  const filled = new Set(jars.filter((jar) => jar.status === 'filled').map((jar) => jar.number))
  return jars.filter((jar) => jar.status !== 'open' || !filled.has(jar.number))
}

/**
 * The past rise against the plateau as it is known now. What was counted from a provisional plateau is put right
 * by the head itself, at the pressure of the moment the plateau became known.
 */
export function riseAgainstPlateau(columns: Columns, events: LiveEvent[]): (number | null)[] {
  const knownAt = events.findLast((event) => event.code === 'plateau_known')?.time_s
  if (knownAt === undefined) return columns.rise_k
  const first = columns.time_s.findIndex((time, i) => time >= knownAt && columns.rise_k[i] !== null && columns.head_c[i] !== null)
  const rise = columns.rise_k[first] ?? null
  const head = columns.head_c[first] ?? null
  if (first < 0 || rise === null || head === null) return columns.rise_k
  return columns.rise_k.map((value, i) => {
    const then = columns.head_c[i] ?? null
    return i >= first || value === null || then === null ? value : then - head + rise
  })
}

/** Last instant anything is expected, s. */
export function horizon(advice: Advice): number {
  return advice.boundaries.reduce((last, bound) => Math.max(last, endAt(bound, WIDER)), advice.time_s)
}

/** The window of run time on paper. */
export function windowOf(advice: Advice, starts: { index: number; at: number }[], plan: RunPlan, narrow: boolean, shiftS: number): [number, number] {
  const now = advice.time_s
  if (narrow) return [now - 3600 + shiftS, now + 58 * 60 + shiftS]
  const drawing = starts.find((step) => ['equalise', 'foreshots', 'hearts'].includes(plan.step[step.index]?.do ?? ''))
  const from = drawing && now - drawing.at > 300 ? drawing.at - 120 : 0
  const last = Math.max(horizon(advice), now + 900)
  const pad = (last - from) * 0.012
  return [from + shiftS, last + pad + shiftS]
}
