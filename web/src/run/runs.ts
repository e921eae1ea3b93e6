// A run of the list in words: where it comes from, how far it has come.
import type { RunSummary } from '../types'

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
