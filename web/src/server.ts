// The only file that asks the server for something once (the live feed is in live.svelte.ts).
import type { AlcoholBalance, KnownStill } from './estimate'
import type {
  BlendAnswer, Forecast, GaugeAnswer, House, NewAction, NewRun, OwnStill, OwnStillAsk, Problem, ReadingRow, ReduceAnswer, RunPlan,
  RunSnapshot, RunSummary,
} from './types'

export class ApiError extends Error {
  constructor(readonly problem: Problem) {
    super(problem.title)
  }

  /** One line a person can act on. */
  get line(): string {
    const { title, detail, field, value, bound, hint } = this.problem
    const where = field ? `${field}${value === undefined ? '' : ` = ${value}`}${bound ? `: ${bound}` : ''}` : (detail ?? title)
    return hint ? `${where}. ${hint}` : where
  }
}

/** Whether the server takes a key with every act, and a step with all that goes with it as one act. */
export const ATOMIC_ACTS: boolean = false

const WAIT_MS = 10_000
/** A fit to a whole run takes its time. */
const LEARN_WAIT_MS = 120_000

async function ask<T>(method: string, path: string, body?: unknown, waitMs = WAIT_MS): Promise<T> {
  const stop = new AbortController()
  const timer = setTimeout(() => stop.abort(), waitMs)
  try {
    const answer = await fetch(path, {
      method,
      signal: stop.signal,
      headers: body === undefined ? {} : { 'content-type': 'application/json' },
      body: body === undefined ? null : JSON.stringify(body),
    })
    if (answer.ok) return (answer.status === 204 ? undefined : await answer.json()) as T
    throw new ApiError(await problemOf(answer))
  } catch (error) {
    if (error instanceof ApiError) throw error
    throw new ApiError({ title: 'Middlecut does not answer.', status: 0, code: 'no_answer', hint: 'Is the program still running?' })
  } finally {
    clearTimeout(timer)
  }
}

async function problemOf(answer: Response): Promise<Problem> {
  try {
    return (await answer.json()) as Problem
  } catch {
    return { title: `The server answered ${answer.status}.`, status: answer.status, code: 'unknown' }
  }
}

/** Of which house, and whether the simulated still of that name is meant. */
export interface WhichStill { example: boolean; rehearsed: boolean }

const stillAddress = (name: string, what: string, { example, rehearsed }: WhichStill): string =>
  `/api/stills/${encodeURIComponent(name)}${what}?example=${example}&rehearsed=${rehearsed}`

export const api = {
  health: () => ask<{ ok: boolean }>('GET', '/api/health'),
  house: () => ask<House>('GET', '/api/house'),
  keepOwnStill: (own: OwnStillAsk) =>
    ask<OwnStill>('PUT', '/api/house/own', own),
  forecast: (plan: RunPlan) => ask<Forecast>('POST', '/api/forecast', { plan }),
  runs: (example: boolean) => ask<RunSummary[]>('GET', `/api/runs${example ? '?example=true' : ''}`),
  startRun: (run: NewRun) => ask<{ id: string }>('POST', '/api/runs', run),
  run: (id: string) => ask<RunSnapshot>('GET', `/api/runs/${encodeURIComponent(id)}`),
  act: (id: string, action: NewAction, key: string) => ask<{ entry: number }>('POST', `/api/runs/${encodeURIComponent(id)}/actions`, ATOMIC_ACTS ? { ...action, key } : action),
  /** One act: the step, its heater, take-off and jar. Already begun, it changes nothing and has no entry. */
  begin: async (id: string, step: number, after: number, key: string): Promise<number | null> =>
    (await ask<{ entry?: number | null }>('POST', `/api/runs/${encodeURIComponent(id)}/begin`, { step, after, key })).entry ?? null,
  read: (id: string, row: ReadingRow) =>
    ask<{ accepted: number; entry: number }>('POST', `/api/runs/${encodeURIComponent(id)}/readings`, { rows: [row] }),
  undo: (id: string, entry: number) => ask<{ entry: number }>('POST', `/api/runs/${encodeURIComponent(id)}/undo`, { entry }),
  speed: (id: string, speed: number) => ask<unknown>('PUT', `/api/runs/${encodeURIComponent(id)}/speed`, { speed }),
  still: (name: string, which: WhichStill) => ask<KnownStill>('GET', stillAddress(name, '', which)),
  resetStill: (name: string, reason: string, which: WhichStill) => ask<KnownStill>('POST', stillAddress(name, '/reset', which), { reason }),
  /** The balance, or that it is still being worked out. */
  balance: (id: string) => ask<AlcoholBalance | { state: 'computing' }>('GET', `/api/runs/${encodeURIComponent(id)}/balance`),
  learn: (id: string) => ask<KnownStill>('POST', `/api/runs/${encodeURIComponent(id)}/learn`, undefined, LEARN_WAIT_MS),
  gauge: (reading: number, celsius: number) => ask<GaugeAnswer>('POST', '/api/bench/gauge', { reading, celsius }),
  reduce: (litres: number, from: number, to: number, celsius: number) =>
    ask<ReduceAnswer>('POST', '/api/bench/reduce', { litres, from, to, celsius }),
  blend: (parts: { litres: number; strength_vol: number }[]) => ask<BlendAnswer>('POST', '/api/bench/blend', { parts }),
}

export const folderAddress = (id: string): string => `/api/runs/${encodeURIComponent(id)}/folder.zip`
export const liveAddress = (id: string, after: number): string =>
  `/api/events?run=${encodeURIComponent(id)}&after=${after}`
