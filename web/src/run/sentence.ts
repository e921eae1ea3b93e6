// The words of the run: whole phrases by state, a time with its range, what is due.
import type { Advice, LiveEvent, RunPlan, Step, StepKind } from '../types'
import { clock, duration } from '../units'

const EXPECTED: Record<string, string> = {
  first_vapour: 'First vapour should come at',
  head_steady: 'The head should be steady at',
  foreshots_end: 'The foreshots should be done at',
  heads_end: 'Hearts should begin at',
  hearts_end: 'The plateau should end at',
  slow_end: 'Tails should begin at',
  tails_end: 'It should be time to stop at',
  cool: 'The head should be cool at',
}

export interface Clockwork { startedMs: number; zoneOffsetMinutes: number }

/** A sentence with a believed time and its range, in parts so that the time can stand on a lens. */
export interface TimeSentence { words: string; likely: string; earliest: string; latest: string; narrow: boolean }

export function timeSentence(advice: Advice, at: Clockwork): TimeSentence | null {
  const expected = advice.expectation
  const words = expected ? EXPECTED[expected.what] : undefined
  if (!expected || !words || advice.state === 'ended') return null
  const waiting = advice.state === 'before_heat'
  const tell = (seconds: number): string => (waiting ? duration(seconds) : clock(seconds, at.startedMs, at.zoneOffsetMinutes))
  const earliest = tell(expected.earliest_s)
  const latest = tell(expected.latest_s)
  if (waiting) return { words: 'From heater on, first vapour should take', likely: tell(expected.likely_s), earliest, latest, narrow: earliest === latest }
  return { words, likely: tell(expected.likely_s), earliest, latest, narrow: earliest === latest }
}

/** The first letter large, a full stop at the end. */
export function asSentence(text: string): string {
  const tidy = text.trim()
  if (!tidy) return ''
  const large = tidy.charAt(0).toUpperCase() + tidy.slice(1)
  return /[.!?]$/.test(large) ? large : `${large}.`
}

/** What is due: the oldest standing prompt, else what comes next with its time. */
export function dueSentence(advice: Advice, at: Clockwork): string {
  const prompt = duePrompt(advice)
  if (prompt) return prompt.do ? `${asSentence(prompt.text)} ${asSentence(prompt.do)}` : asSentence(prompt.text)
  const next = advice.next
  if (advice.state === 'before_heat') return next ? `Next: ${next.text.replace(/[.\s]+$/, '')}.` : ''
  if (!next) return ''
  const text = next.text.replace(/[.\s]+$/, '')
  if (next.due_s === null) return `Next: ${text}.`
  const left = next.due_s - advice.time_s
  if (left <= 0) return `Now: ${text}.`
  const when = left < 3600 ? `in ${duration(left)}` : `at ${clock(next.due_s, at.startedMs, at.zoneOffsetMinutes)}`
  return `Next: ${text}, ${when}.`
}

/** The prompt a person should answer first: the most urgent, then the newest. */
export function duePrompt(advice: Advice): LiveEvent | null {
  const rank = { low: 0, medium: 1, high: 2, critical: 3 }
  return [...advice.prompts].sort((a, b) => rank[b.priority] - rank[a.priority] || b.time_s - a.time_s)[0] ?? null
}

export function stepName(kind: StepKind, slow = false): string {
  if (slow) return 'slow hearts'
  const names: Record<StepKind, string> = {
    heat: 'heat', equalise: 'equalise', foreshots: 'foreshots', heads: 'heads', hearts: 'hearts', tails: 'tails', stop: 'stop',
  }
  return names[kind]
}

export function isSlow(plan: RunPlan, index: number): boolean {
  return plan.step[index]?.do === 'hearts' && plan.step[index - 1]?.do === 'hearts'
}

/** The words of a step key: what beginning the step means. */
export function beginWords(plan: RunPlan, index: number): string {
  const step = plan.step[index]
  if (!step) return ''
  if (step.do === 'stop') return 'Heat is off'
  if (step.do === 'equalise') return 'Begin equalising'
  return `Begin ${stepName(step.do, isSlow(plan, index))}`
}

/** The values a step key records besides the step itself. */
export function stepValues(step: Step): { watts: number | null; takeOff: { value: number; unit: 'ml_per_min' | 'reflux_ratio' } | null } {
  const draws = ['foreshots', 'heads', 'hearts', 'tails'].includes(step.do)
  const watts = step.do === 'stop' ? 0 : (step.watts ?? null)
  if (!draws) return { watts, takeOff: step.do === 'heat' ? null : { value: 0, unit: 'ml_per_min' } }
  if (step.takeoff_ml_per_min !== undefined) return { watts, takeOff: { value: step.takeoff_ml_per_min, unit: 'ml_per_min' } }
  return { watts, takeOff: { value: step.reflux_ratio ?? 0, unit: 'reflux_ratio' } }
}

/** Prompts that are answered by beginning the next step of the plan. */
const BEGINS = new Set(['first_vapour', 'head_steady', 'foreshots_done', 'heads_done', 'hearts_end_near', 'slow_phase', 'stop'])

export type DueKey =
  | { kind: 'step'; index: number; words: string }
  | { kind: 'jar' | 'here' | 'coolant_on' | 'coolant_off'; words: string }

/** The key beside the prompt, when one press answers it. */
export function dueKey(advice: Advice, plan: RunPlan): DueKey | null {
  const prompt = duePrompt(advice)
  if (!prompt) return null
  if (prompt.code === 'coolant_on') return { kind: 'coolant_on', words: 'Coolant is on' }
  if (prompt.code === 'coolant_off') return { kind: 'coolant_off', words: 'Coolant is off' }
  if (prompt.code === 'jar_change') return { kind: 'jar', words: 'New jar' }
  if (prompt.code === 'attendant_absent') return { kind: 'here', words: 'Still here' }
  if (!BEGINS.has(prompt.code)) return null
  // Said twice under one code: near (only a word), and here (the step is over).
  if (prompt.code === 'hearts_end_near' && prompt.priority !== 'high') return null
  const index = prompt.code === 'stop' ? plan.step.length - 1 : nextIndex(advice)
  const words = beginWords(plan, index)
  return words ? { kind: 'step', index, words } : null
}

export const nextIndex = (advice: Advice): number => advice.step_index + 1

export const STATE_NAMES: Record<Advice['state'], string> = {
  before_heat: 'Not heating', heating: 'Heating', equalising: 'Equalising', foreshots: 'Foreshots', heads: 'Heads',
  hearts: 'Hearts', slow_hearts: 'Slow hearts', tails: 'Tails', cooling_down: 'Cooling', interrupted: 'Stopped', ended: 'Ended',
}
