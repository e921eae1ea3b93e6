// What the page of the washes asks and writes.
import { ask } from '../server'
import { enteredOf } from '../ui/entered'
import type { Wash, WashForecast, WashRecipe, WashSummary } from '../types'

const of = (id: string, what = ''): string => `/api/washes/${encodeURIComponent(id)}${what}`
/** A forecast takes a part of a second, longer on a small computer that does other things. */
const FORECAST_WAIT_MS = 30_000

export type Entered = { to: 'readings' | 'acts' | 'strike' | 'charge' | 'pour'; body: Record<string, unknown> }

export const washes = {
  list: (example: boolean) => ask<WashSummary[]>('GET', `/api/washes?example=${example}`),
  show: (id: string) => ask<Wash>('GET', of(id)),
  forecast: (id: string) => ask<WashForecast>('GET', of(id, '/forecast'), undefined, FORECAST_WAIT_MS),
  /** A recipe by itself; nothing is kept. */
  planned: (recipe: WashRecipe) => ask<WashForecast>('POST', '/api/bench/wash', { recipe }, FORECAST_WAIT_MS),
  open: (recipe: WashRecipe, example: boolean, key: string) => ask<Wash>('POST', '/api/washes', { recipe, entered: enteredOf('wash', recipe), example, key }),
  change: (id: string, recipe: WashRecipe, reason: string, key: string) => ask<Wash>('PUT', of(id, '/recipe'), { recipe, entered: enteredOf('wash', recipe), reason, key }),
  enter: (id: string, { to, body }: Entered, key: string) => ask<Wash>('POST', of(id, `/${to}`), { ...body, key }, FORECAST_WAIT_MS),
  take: (files: Record<string, string>, example: boolean, key: string) => ask<Wash>('POST', '/api/washes/folder', { files, example, key }),
}

export const washFolder = (id: string): string => of(id, '/folder.zip')

/** A name for a request: sent again it changes nothing. */
export const newKey = (): string => Array.from(crypto.getRandomValues(new Uint8Array(12)), (byte) => byte.toString(16).padStart(2, '0')).join('')
