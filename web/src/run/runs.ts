// A run of the list in words: where it comes from, how far it has come.
import type { RunSummary } from '../types'

/** A run by its name: the lot that it was planned from, which the program gave, is told where lots are. */
export const called = (title: string): string => title.replace(/, wash-\d{8}-\d{6}-\w{4}$/, '')

export function originWords(run: Pick<RunSummary, 'mode' | 'rehearsed'>): string {
  if (run.mode === 'real') return 'real'
  if (run.mode === 'rehearsal') return 'rehearsed'
  return `imported${run.rehearsed === null ? '' : run.rehearsed ? ', rehearsed' : ', real'}`
}

export function stateWords(run: Pick<RunSummary, 'state' | 'abandoned'>): string {
  switch (run.state) {
    case 'planned': return 'not heating yet'
    case 'running': return 'going on'
    case 'ended': return 'over'
    case 'abandoned': return `given up${run.abandoned ? ` (${run.abandoned})` : ''}`
  }
}
