// The house that a run is of: it stands open, with its mark, also where the run was opened by its link.
import { house } from '../house.svelte'
import { prefs } from '../prefs.svelte'

export function home(example: boolean): void {
  const mode = example ? 'example' : 'own'
  if (prefs.house !== mode && (example || house.data?.own)) void house.open(mode)
}
