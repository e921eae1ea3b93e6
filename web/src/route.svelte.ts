// Which page is open, kept in the part of the address after '#'.

export type Place = 'start' | 'plan' | 'wash' | 'run' | 'jars' | 'bench' | 'books' | 'still'

export interface Route { place: Place; run: string | null }

export function routeOf(hash: string): Route {
  const [place = '', run = ''] = hash.replace(/^#\/?/, '').split('/')
  const known: Place[] = ['plan', 'wash', 'run', 'jars', 'bench', 'books', 'still']
  const found = known.find((name) => name === place) ?? 'start'
  return { place: found, run: (found === 'run' || found === 'jars' || found === 'wash') && run ? decodeURIComponent(run) : null }
}

class Router {
  now = $state<Route>(routeOf(location.hash))

  constructor() {
    addEventListener('hashchange', () => { this.now = routeOf(location.hash) })
  }

  go(place: Place, run?: string): void {
    location.hash = place === 'start' ? '#/' : `#/${place}${run ? `/${encodeURIComponent(run)}` : ''}`
  }
}

export const router = new Router()
