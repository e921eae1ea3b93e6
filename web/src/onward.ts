// To another page once something is done, unless the person has gone elsewhere meanwhile.
import { router, type Place } from './route.svelte'

/** Asked for before the waiting begins. */
export function onward(): (place: Place, run?: string) => void {
  const from = location.hash
  return (place, run) => { if (location.hash === from) router.go(place, run) }
}
