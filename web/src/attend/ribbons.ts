// Runs on one clock: what of each is drawn, and the sentence that says who needs a person next.
import type { Knowledge } from '../knowledge'
import { segments, type Segment } from '../run/strip'
import { called } from '../run/runs'
import type { Attended, Attending, RunSnapshot } from '../types'
import { duration } from '../units'

/** Most of the past and of what is to come on paper, s. */
const BACK_MOST_S = 3 * 3600
const AHEAD_MOST_S = 6 * 3600
/** Least of what is to come, so that the present does not stand at the edge, s. */
const AHEAD_LEAST_S = 1800

/** Seconds from now of a run's own time. What a rehearsal does at its own speed is drawn as if it went on at that of the clock. */
export const fromNow = (run: Attended, runS: number): number => runS - (run.now?.time_s ?? 0)

/** The window that all ribbons share, s from now. */
export function windowOfAll(runs: readonly Attended[]): [number, number] {
  const known = runs.flatMap(({ now }) => (now ? [now] : []))
  const back = Math.min(Math.max(600, ...known.map(({ time_s }) => time_s)), BACK_MOST_S)
  const ahead = Math.max(AHEAD_LEAST_S, ...known.flatMap(({ time_s, ends }) => ends.map(({ at }) => at.p90 - time_s)))
  return [-back, Math.min(ahead * 1.02, AHEAD_MOST_S)]
}

/** The ribbon of a run: its steps so far and to come. */
export function piecesOf(run: Attended, snapshot: RunSnapshot): Segment[] {
  if (!run.now) return []
  const known: Knowledge = { ...snapshot.knowledge, time_s: run.now.time_s, ends: run.now.ends }
  return segments(snapshot.events, snapshot.plan, known, true)
}

/** Whether what was read of a run is of another step than the one that runs: it is read again. */
export const outdated = (run: Attended, snapshot: RunSnapshot | undefined): boolean => run.now !== null && run.now !== undefined && snapshot?.knowledge.step.name !== run.now.step

const place = (run: Attended): string => `${run.still}: ${called(run.title)}`

export interface Call { kind: 'alarm' | 'due' | 'comes' | 'none'; words: string; id: string | null }

/** Who needs a person next, in a sentence. */
export function callOf({ next, runs }: Attending): Call {
  const run = runs.find(({ id }) => id === next)
  if (!run) return { kind: 'none', words: runs.length ? 'No run needs a person by what is known now. Look in all the same.' : '', id: null }
  const said = run.words.replace(/[.\s]+$/, '')
  if (run.need === 'alarm' || run.need === 'unknown') return { kind: 'alarm', words: `${place(run)}. ${said}.`, id: run.id }
  if (run.need === 'due') return { kind: 'due', words: `Now: ${place(run)}. ${said}.`, id: run.id }
  const soon = run.in_s === null || run.in_s === undefined ? '' : run.in_s < 30 ? ' now' : ` in ${duration(run.in_s)} at the earliest`
  return { kind: 'comes', words: `Next: ${place(run)}. ${said}${soon}.`, id: run.id }
}

/** What stands beside each ribbon. */
export function needWords(run: Attended): string {
  if (run.need === 'nothing') return ''
  const said = run.words.replace(/[.\s]+$/, '')
  const when = run.in_s === null || run.in_s === undefined || run.in_s < 30 ? '' : `, in ${duration(run.in_s)}`
  return `${said}${when}.`
}

export const countWords = (count: number): string => (count === 0 ? 'No run is open.' : count === 1 ? 'One run is open.' : `${count} runs are open.`)
