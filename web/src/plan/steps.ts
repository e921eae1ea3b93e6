// The steps of a plan by name: what each is called, what beginning it means, what its end is called.
import type { RunPlan, StepKind } from '../types'

export const stepName = (kind: StepKind, slow = false): string => (slow ? 'slow hearts' : kind)

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

const SHORT: Partial<Record<StepKind, string>> = { heat: 'filled', equalise: 'steady', foreshots: 'heads begin', heads: 'hearts begin', tails: 'stop' }

/** What the end of a step is called on a drawing: by what then begins. */
export function endName(plan: RunPlan, index: number): string {
  const kind = plan.step[index]?.do ?? 'stop'
  const next = plan.step[index + 1]?.do
  if (kind === 'foreshots' && next === 'hearts') return 'hearts begin'
  if (kind !== 'hearts') return SHORT[kind] ?? ''
  if (next === 'tails') return 'tails begin'
  return isSlow(plan, index + 1) ? 'slow hearts' : 'hearts end'
}
