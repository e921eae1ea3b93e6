// What the run strip draws, before it is drawn: the window of time, steps past and to come.
import { doubtOf, type End, type Knowledge } from '../knowledge'
import { isSlow, stepName } from '../plan/steps'
import type { Columns, Jar, LiveEvent, RunActionRow, RunPlan, StepKind } from '../types'

export interface Segment { kind: StepKind; slow: boolean; name: string; from: number; to: number; past: boolean }
export interface Mark {
  name: string; earliest: number; likely: number; latest: number
  /** The 95 % range, where it is known by itself. */
  widest?: [number, number]
  /** Drawn, but not to be trusted now. */
  unsure?: boolean
}

const KINDS: StepKind[] = ['heat', 'equalise', 'foreshots', 'heads', 'hearts', 'tails', 'stop']

/** When each step so far began, oldest first: what was said, and the running one. */
export function begun(events: LiveEvent[], plan: RunPlan, known: Knowledge): { index: number; at: number }[] {
  const list: { index: number; at: number }[] = [{ index: 0, at: 0 }]
  const running = known.step.index
  for (const event of events) {
    if (event.kind !== 'step') continue
    const last = list[list.length - 1] ?? { index: 0, at: 0 }
    const kind = KINDS.find((name) => event.code === name || event.code === `step_${name}`)
      ?? (event.code.includes('slow') ? 'hearts' : undefined)
    if (!kind || (kind === 'heat' && last.index === 0)) continue
    const index = plan.step.findIndex((step, i) => i > last.index && step.do === kind)
    if (index > last.index && index <= running) list.push({ index, at: event.time_s })
  }
  const last = list[list.length - 1]
  if (last && last.index < running) list.push({ index: running, at: known.step.started_s })
  return list
}

/** The ends of the plan's own steps that are to come. */
const stepEnds = (known: Knowledge): (End & { step_index: number })[] => known.ends.filter((end): end is End & { step_index: number } => end.step_index !== null)

export function segments(events: LiveEvent[], plan: RunPlan, known: Knowledge, live: boolean): Segment[] {
  const now = known.time_s
  const piece = (index: number, from: number, to: number, past: boolean): Segment => {
    const kind = plan.step[index]?.do ?? 'stop'
    const slow = isSlow(plan, index)
    return { kind, slow, name: kind === 'stop' ? 'cooling' : stepName(kind, slow), from, to, past }
  }
  const so = begun(events, plan, known)
  const list = so.map((step, i) => piece(step.index, step.at, so[i + 1]?.at ?? now, true))
  if (!live) return list
  let from = now
  for (const { step_index, at } of stepEnds(known)) {
    if (at.p50 > from) list.push(piece(step_index, from, at.p50, false))
    from = Math.max(from, at.p50)
  }
  return list
}

/** Everything still to come, as marks of the ribbon. */
export function marks(known: Knowledge): Mark[] {
  return known.ends.filter((end) => end.what !== 'cool')
    .map((end) => ({ name: end.short, earliest: end.at.p10, likely: end.at.p50, latest: end.at.p90, widest: [end.at.p025, end.at.p975], unsure: doubtOf(known, end) !== null }))
}

/** The end of all hearts, if it is still to come. */
export function heartsEnd(known: Knowledge, plan: RunPlan): End | null {
  const last = plan.step.findLastIndex((step) => step.do === 'hearts')
  return known.ends.find((end) => end.step_index === last) ?? null
}

/** When the first hearts should begin, s; 0 where they have begun, or nothing is known of it. */
export function heartsBegin(known: Knowledge, plan: RunPlan): number {
  const first = plan.step.findIndex((step) => step.do === 'hearts')
  return known.ends.find((end) => end.step_index === first - 1)?.at.p50 ?? 0
}

export interface Gap { from: number; to: number }

/** When the heat was off in mid-run, as a person recorded it: ruled off on the strip. The last heat off of a run that cools down is none. */
export function gaps(actions: readonly Pick<RunActionRow, 'action' | 'value' | 'time_s'>[], known: Pick<Knowledge, 'time_s' | 'state'>): Gap[] {
  const heats = actions.filter(({ action }) => action === 'heater').sort((a, b) => a.time_s - b.time_s)
  const list: Gap[] = []
  let off: number | null = null
  for (const { value, time_s } of heats) {
    const on = (value ?? 0) > 0
    if (on && off !== null && time_s > off) list.push({ from: off, to: time_s })
    off = on ? null : (off ?? time_s)
  }
  if (off !== null && known.state === 'interrupted') list.push({ from: off, to: known.time_s })
  return list
}

/** Of a run that is over and filled none. */
export const NO_JAR = 'No jar was opened.'

/** Jars to draw: one that was measured after all is not drawn once more as open. */
export function drawnJars<T extends Jar>(jars: T[]): T[] {
  const filled = new Set(jars.filter((jar) => jar.status === 'filled').map((jar) => jar.number))
  return jars.filter((jar) => jar.status !== 'open' || !filled.has(jar.number))
}

/**
 * The past rise against the plateau as it is known now; nothing while it is not. What was counted from a provisional
 * plateau is put right by the head itself, at the pressure of the moment the plateau became known.
 */
export function riseAgainstPlateau(columns: Columns, events: LiveEvent[], known: boolean): (number | null)[] {
  if (!known) return columns.rise_k.map(() => null)
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
export const horizon = (known: Knowledge): number => stepEnds(known).reduce((last, end) => Math.max(last, end.at.p975), known.time_s)

/** The window of run time on paper. */
export function windowOf(known: Knowledge, starts: { index: number; at: number }[], plan: RunPlan, narrow: boolean, shiftS: number): [number, number] {
  const now = known.time_s
  if (narrow) return [now - 3600 + shiftS, now + 58 * 60 + shiftS]
  const drawing = starts.find((step) => ['equalise', 'foreshots', 'hearts'].includes(plan.step[step.index]?.do ?? ''))
  const from = drawing && now - drawing.at > 300 ? drawing.at - 120 : 0
  const last = Math.max(horizon(known), now + 900)
  const pad = (last - from) * 0.012
  return [from + shiftS, last + pad + shiftS]
}
