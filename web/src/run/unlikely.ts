// What can be but is unlikely: the question, and the same act once more as it is or as it was perhaps meant.
import type { Ask } from './recorder.svelte'

export interface Question { what: string; /** What was perhaps meant. */ suggest: number | null; /** Which number is doubted. */ field: string | null; ask: Ask; words: string }

/** The same act, said to be so. */
export function sure(ask: Ask): Ask {
  if (ask.to === 'actions') return { to: 'actions', body: { ...ask.body, sure: true } }
  if (ask.to === 'jars') return { to: 'jars', body: { ...ask.body, sure: true } }
  if (ask.to === 'readings') return { to: 'readings', body: { ...ask.body, sure: true } }
  if (ask.to !== 'correct') return ask
  const { action, jar, reading } = ask.body
  return { to: 'correct', body: { ...ask.body, ...(reading ? { sure: true } : {}), ...(action ? { action: { ...action, sure: true } } : {}), ...(jar ? { jar: { ...jar, sure: true } } : {}) } }
}

/** The same act with what was perhaps meant in place of the doubted number; none where that number is not known. What is reckoned to run is nothing that somebody read off a glass. */
export function likelier({ ask, suggest, field }: Question): Ask | null {
  const acted = ask.to === 'actions' ? ask.body : ask.to === 'correct' ? ask.body.action : null
  if (suggest === null || field === null || (acted?.action === 'gauge' && field === 'value')) return null
  if (ask.to === 'actions') return { to: 'actions', body: action(typed(ask.body, field), field, suggest) }
  if (ask.to === 'jars') return { to: 'jars', body: { ...typed(ask.body, field), [field]: suggest } }
  if (ask.to === 'readings') return { to: 'readings', body: { ...typed(ask.body, field), rows: ask.body.rows.map((row) => ({ ...row, [field]: suggest })) } }
  if (ask.to !== 'correct') return null
  const { jar, reading } = ask.body
  if (reading) return { to: 'correct', body: { ...typed(ask.body, field), reading: { ...reading, [field]: suggest } } }
  if (acted) return { to: 'correct', body: { ...ask.body, action: action(typed(acted, field), field, suggest) } }
  return jar ? { to: 'correct', body: { ...ask.body, jar: { ...typed(jar, field), [field]: suggest } } } : null
}

/** Without how the doubted number was typed: nobody typed what is put in its place. */
function typed<Of extends { entered?: { field: string }[] }>(body: Of, field: string): Of {
  return body.entered ? { ...body, entered: body.entered.filter((one) => one.field !== field) } : body
}

/** A glass carries its temperature in its unit. */
const action = <Of extends { value?: number | null; unit?: string | null }>(body: Of, field: string, suggest: number): Of =>
  field === 'celsius' ? { ...body, unit: `vol_at_${suggest.toFixed(1)}` } : { ...body, value: suggest }
