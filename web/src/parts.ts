// What is loaded when it is needed: each page by itself, and of the run what does not stand on its first paint.
import type { Component } from 'svelte'
import type { Route } from './route.svelte'

type Loaded = Promise<{ default: Component }>

/** The pages by name. A run is a page of its own, apart from the list of runs. */
const PAGES = {
  start: (): Loaded => import('./page/Start.svelte'),
  plan: (): Loaded => import('./page/Plan.svelte'),
  wash: (): Loaded => import('./page/Wash.svelte'),
  runs: (): Loaded => import('./page/Runs.svelte'),
  run: (): Loaded => import('./page/Run.svelte'),
  jars: (): Loaded => import('./page/Jars.svelte'),
  bench: (): Loaded => import('./page/Bench.svelte'),
  books: (): Loaded => import('./page/Books.svelte'),
  still: (): Loaded => import('./page/Still.svelte'),
}
export type PageName = keyof typeof PAGES

/** Pages that need no still: a wash ferments and a book is kept before one is described. */
export const STILL_LESS: readonly Route['place'][] = ['wash', 'books']

/** Which page shows a route; without a house only the start, runs and those that need no still do. */
export function pageOf({ place, run }: Route, house: boolean): PageName {
  if (place === 'run') return run === null ? 'runs' : 'run'
  return house || STILL_LESS.includes(place) ? place : 'start'
}

const loaded = new Map<PageName, Component>()

/** The page, where it is here already. */
export const atHand = (name: PageName): Component | null => loaded.get(name) ?? null

/** Asks for a page; what was loaded once is not asked for again. */
export async function load(name: PageName): Promise<Component> {
  const page = loaded.get(name) ?? (await PAGES[name]()).default
  loaded.set(name, page)
  return page
}

/** Waits between two attempts, ms; the last one repeats. */
const WAITS_MS = [500, 2000, 5000]

/** Longest wait for a paint: a page that is not in sight paints nothing, ms. */
const PAINT_MS = 1000
/** Until the page was painted with something on it: an empty frame is no paint. */
const painted = (): Promise<void> => new Promise((done) => {
  const timer = setTimeout(done, PAINT_MS)
  const look = (): void => {
    if (performance.getEntriesByName('first-contentful-paint').length) { clearTimeout(timer); done() } else requestAnimationFrame(look)
  }
  requestAnimationFrame(() => requestAnimationFrame(look))
})

/** Asks for more of the open page once it is painted, until it comes; the answer ends the asking. */
export function later<T>(ask: () => Promise<T>, take: (part: T) => void): () => void {
  let over = false
  let timer: ReturnType<typeof setTimeout> | undefined
  const attempt = (count: number): void => {
    ask().then(
      (part) => { if (!over) take(part) },
      () => { if (!over) timer = setTimeout(() => attempt(count + 1), WAITS_MS[Math.min(count, WAITS_MS.length - 1)]) },
    )
  }
  void painted().then(() => { if (!over) attempt(0) })
  return () => { over = true; clearTimeout(timer) }
}
