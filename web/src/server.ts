// Asks the server for something once (the live feed is in live.svelte.ts); what no first paint needs is in server-rest.ts.
import type { AlcoholBalance, Fit, KnownStill } from './estimate'
import type { components } from './api'
import type {
  Attending, BlendAnswer, Feeds, Forecast, GaugeAnswer, House, KeptPlan, LogPart, NewRun, OwnStill, OwnStillAsk, Problem, ReduceAnswer, RunPlan, RunSnapshot, RunSummary,
} from './types'

type Schema = components['schemas']

/** What is recorded in a run, by the last part of its address; every one carries a key, sent again it changes nothing. */
export interface Recordings {
  actions: Schema['ActionAsk']
  readings: Schema['ReadingsAsk']
  begin: Schema['BeginAsk']
  go_on: Schema['GoOnAsk']
  jars: Schema['JarAsk']
  jar_size: Schema['JarSizeAsk']
  checks: Schema['ChecksAsk']
  notes: Schema['NoteAsk']
  undo: Schema['UndoAsk']
  correct: Schema['CorrectAsk']
  abandon: Schema['AbandonAsk']
  end: { key?: string | null }
}

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

const WAIT_MS = 10_000
/** Whether it is there at all is asked after a silence: both and the look for it are the ten seconds after which a reading is lost, ms. */
const THERE_WAIT_MS = 3000
/** A fit to a whole run takes its time. */
const LEARN_WAIT_MS = 120_000

/** Asks the server once. */
export async function ask<T>(method: string, path: string, body?: unknown, waitMs = WAIT_MS): Promise<T> {
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
    const problem = await problemOf(answer)
    // The session has ended or was revoked: this browser must be let in again. What waits to be sent is kept.
    if (problem.code === 'not_paired') location.assign('/pair')
    throw new ApiError(problem)
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

const fitAddress = (name: string): string => `/api/stills/${encodeURIComponent(name)}/fit`

export const runAddress = (id: string, what = ''): string => `/api/runs/${encodeURIComponent(id)}${what}`

export const api = {
  health: () => ask<{ ok: boolean }>('GET', '/api/health', undefined, THERE_WAIT_MS),
  /** How the record stands, and a person's word that a loss is known. */
  recordState: () => ask<Schema['RecordWire']>('GET', '/api/record'),
  acceptLoss: (reason: string) => ask<Schema['RecordWire']>('POST', '/api/record/loss', { reason }),
  attending: () => ask<Attending>('GET', '/api/attending'),
  feeds: () => ask<Feeds>('GET', '/api/feeds'),
  house: () => ask<House>('GET', '/api/house'),
  keepOwnStill: (own: OwnStillAsk) =>
    ask<OwnStill>('PUT', '/api/house/own', own),
  forecast: (plan: RunPlan) => ask<Forecast>('POST', '/api/forecast', { plan }),
  runs: (example: boolean, search = '') => ask<RunSummary[]>('GET', `/api/runs?example=${example}${search ? `&search=${encodeURIComponent(search)}` : ''}`),
  startRun: (run: NewRun) => ask<{ id: string }>('POST', '/api/runs', run),
  run: (id: string) => ask<RunSnapshot>('GET', runAddress(id)),
  /** Records something; the answer is its entry, none where it was so already. */
  record: async <To extends keyof Recordings>(id: string, to: To, body: Recordings[To]): Promise<number | null> =>
    (await ask<{ entry?: number | null }>('POST', runAddress(id, `/${to}`), to === 'end' ? undefined : body)).entry ?? null,
  log: (id: string, before: number | null, limit: number) => ask<LogPart>('GET', runAddress(id, `/log?limit=${limit}${before === null ? '' : `&before=${before}`}`)),
  nameRun: (id: string, name: string) => ask<unknown>('PUT', runAddress(id, '/name'), { name }),
  countRun: (id: string, count: boolean) => ask<unknown>('PUT', runAddress(id, '/learning'), { count }),
  plans: () => ask<KeptPlan[]>('GET', '/api/plans'),
  keepPlan: (kept: KeptPlan) => ask<KeptPlan[]>('PUT', '/api/plans', kept),
  dropPlan: (name: string) => ask<KeptPlan[]>('DELETE', `/api/plans?name=${encodeURIComponent(name)}`),
  speed: (id: string, speed: number) => ask<unknown>('PUT', runAddress(id, '/speed'), { speed }),
  still: (name: string, which: WhichStill) => ask<KnownStill>('GET', stillAddress(name, '', which)),
  resetStill: (name: string, reason: string, which: WhichStill) => ask<KnownStill>('POST', stillAddress(name, '/reset', which), { reason }),
  fit: (name: string) => ask<Fit>('POST', fitAddress(name)),
  fitAt: (name: string) => ask<Fit>('GET', fitAddress(name)),
  giveFitUp: (name: string) => ask<Fit>('DELETE', fitAddress(name)),
  setAside: (name: string, reason: string) => ask<KnownStill>('POST', `/api/stills/${encodeURIComponent(name)}/set_aside`, { reason }),
  /** The balance, or that it is still being worked out. */
  balance: (id: string) => ask<AlcoholBalance | { state: 'computing' }>('GET', runAddress(id, '/balance')),
  learn: (id: string) => ask<KnownStill>('POST', runAddress(id, '/learn'), undefined, LEARN_WAIT_MS),
  gauge: (reading: number, celsius: number) => ask<GaugeAnswer>('POST', '/api/bench/gauge', { reading, celsius }),
  reduce: (litres: number, from: number, to: number, celsius: number) =>
    ask<ReduceAnswer>('POST', '/api/bench/reduce', { litres, from, to, celsius }),
  blend: (parts: { litres: number; strength_vol: number }[]) => ask<BlendAnswer>('POST', '/api/bench/blend', { parts }),
}

export const folderAddress = (id: string): string => runAddress(id, '/folder.zip')
export const liveAddress = (id: string, after: number): string =>
  `/api/events?run=${encodeURIComponent(id)}&after=${after}`
