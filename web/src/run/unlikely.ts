// What can be but is unlikely: the question, and the same act once more as it is or as it was perhaps meant.
import type { Ask } from './recorder.svelte'

export interface Question { what: string; /** What was perhaps meant. */ suggest: number | null; ask: Ask; words: string }

/** The same act, said to be so. */
export function sure(ask: Ask): Ask {
  if (ask.to === 'actions') return { to: 'actions', body: { ...ask.body, sure: true } }
  if (ask.to === 'jars') return { to: 'jars', body: { ...ask.body, sure: true } }
  if (ask.to !== 'correct') return ask
  const { action, jar } = ask.body
  return { to: 'correct', body: { ...ask.body, ...(action ? { action: { ...action, sure: true } } : {}), ...(jar ? { jar: { ...jar, sure: true } } : {}) } }
}

/** The same act with what was perhaps meant; none where it is not plain which of its numbers is asked about. */
export function likelier({ ask, suggest }: Question): Ask | null {
  if (suggest === null) return null
  if (ask.to === 'actions' && ask.body.action !== 'gauge') return { to: 'actions', body: { ...ask.body, value: suggest } }
  if (ask.to === 'jars' && isVolumeOnly(ask.body)) return { to: 'jars', body: { ...ask.body, volume_ml: suggest } }
  if (ask.to !== 'correct') return null
  const { action, jar } = ask.body
  if (action && action.action !== 'gauge') return { to: 'correct', body: { ...ask.body, action: { ...action, value: suggest } } }
  return jar && isVolumeOnly(jar) ? { to: 'correct', body: { ...ask.body, jar: { ...jar, volume_ml: suggest } } } : null
}

/** Of a jar with its strength it is not known which of three numbers is doubted. */
const isVolumeOnly = (jar: { volume_ml?: number | null; apparent_vol?: number | null }): boolean => (jar.volume_ml ?? null) !== null && (jar.apparent_vol ?? null) === null
