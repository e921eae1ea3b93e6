// The live feed of one run: opens it, keeps it open, says when it is lost. Nothing here reads the phone's clock.
import { api, ApiError, liveAddress } from './server'
import { noColumns, withPoint } from './live/columns'
import type { Advice, AdviceMessage, Columns, LiveEvent, RunSnapshot } from './types'

/** Longest list of what was said that is kept. */
export const SAID_MAX = 500
/** Silence after which the server is asked whether it is still there, ms. */
export const SILENCE_MS = 6000
/** Waits between attempts to come back, ms; the last one repeats. */
export const WAITS_MS = [500, 1000, 2000, 4000, 8000] as const
/** At a fast rehearsal the drawings are filled up from the record this often, ms. */
const REFILL_MS = 5000
const WATCH_MS = 2000

export const waitBefore = (attempt: number): number => WAITS_MS[Math.min(attempt, WAITS_MS.length - 1)] ?? 8000

export type Link = 'opening' | 'live' | 'lost'

export const readAdvice = (text: string): AdviceMessage => JSON.parse(text) as AdviceMessage

export interface Source {
  addEventListener(name: string, listener: (event: MessageEvent<string>) => void): void
  close(): void
  readonly readyState: number
}

export class LiveRun {
  snapshot = $state.raw<RunSnapshot | null>(null)
  advice = $state.raw<Advice | null>(null)
  columns = $state.raw<Columns>(noColumns())
  said = $state.raw<LiveEvent[]>([])
  speed = $state<number | null>(null)
  link = $state<Link>('opening')
  /** Run time of the last thing heard, s: what the page shows as "since". */
  heardAt = $state(0)
  trouble = $state('')

  #source: Source | null = null
  #attempt = 0
  #lastEntry = 0
  #heard = 0
  #closed = false
  #timers: ReturnType<typeof setTimeout>[] = []

  constructor(
    readonly id: string,
    readonly onSaid: (event: LiveEvent) => void = () => {},
    private readonly openSource: (address: string) => Source = (address) => new EventSource(address) as unknown as Source,
    private readonly stopwatch: () => number = () => performance.now(),
  ) {}

  async open(): Promise<void> {
    this.#watch()
    await this.#connect()
  }

  close(): void {
    this.#closed = true
    this.#source?.close()
    for (const timer of this.#timers) clearTimeout(timer)
  }

  async #connect(): Promise<void> {
    if (this.#closed) return
    this.#source?.close()
    this.#source = null
    try {
      this.#take(await api.run(this.id))
    } catch (error) {
      this.trouble = error instanceof ApiError ? error.line : String(error)
      if (error instanceof ApiError && error.problem.status === 404) return
      this.#retry()
      return
    }
    if (this.#closed) return
    const source = this.openSource(liveAddress(this.id, this.#lastEntry))
    this.#source = source
    source.addEventListener('advice', (event) => this.#onAdvice(event))
    source.addEventListener('said', (event) => this.#onSaid(event))
    source.addEventListener('speed', (event) => this.#onSpeed(event))
    // Too much was missed for the feed to send again: take the record anew.
    source.addEventListener('reload', () => {
      if (this.#source === source) this.#later(() => void this.#connect(), waitBefore(0))
    })
    source.addEventListener('error', () => {
      if (this.#source === source) this.#retry()
    })
  }

  /** Takes the record as it stands: the past, and where the feed goes on from. */
  #take(snapshot: RunSnapshot): void {
    this.snapshot = snapshot
    this.advice = snapshot.advice
    this.columns = snapshot.readings ?? noColumns()
    this.said = snapshot.events.slice(-SAID_MAX)
    this.speed = snapshot.speed
    this.#lastEntry = snapshot.last_entry
    this.trouble = ''
    this.#fresh(snapshot.advice.time_s)
  }

  #fresh(runSeconds: number): void {
    this.#heard = this.stopwatch()
    this.#attempt = 0
    this.heardAt = runSeconds
    this.link = 'live'
  }

  #onAdvice(event: MessageEvent<string>): void {
    const { advice, point } = readAdvice(event.data)
    this.advice = advice
    if (point) this.columns = withPoint(this.columns, point)
    this.#fresh(advice.time_s)
  }

  #onSaid(event: MessageEvent<string>): void {
    const entry = Number(event.lastEventId)
    if (Number.isFinite(entry) && entry > 0) {
      if (entry <= this.#lastEntry) return
      this.#lastEntry = entry
    }
    const said = JSON.parse(event.data) as LiveEvent
    this.said = [...this.said, said].slice(-SAID_MAX)
    this.onSaid(said)
  }

  #onSpeed(event: MessageEvent<string>): void {
    const data = JSON.parse(event.data) as { speed: number } | number
    this.speed = typeof data === 'number' ? data : data.speed
  }

  #retry(): void {
    if (this.#closed) return
    this.#source?.close()
    this.#source = null
    this.link = 'lost'
    this.#later(() => void this.#connect(), waitBefore(this.#attempt))
    this.#attempt += 1
  }

  #later(work: () => void, ms: number): void {
    const timer = setTimeout(() => {
      this.#timers = this.#timers.filter((other) => other !== timer)
      work()
    }, ms)
    this.#timers.push(timer)
  }

  /** A feed can fall silent without an error: ask, and come back if there is no answer. */
  #watch(): void {
    let sinceRefill = 0
    const look = async (): Promise<void> => {
      if (this.#closed) return
      sinceRefill += WATCH_MS
      if (this.link === 'live' && this.stopwatch() - this.#heard > SILENCE_MS) await this.#askHealth()
      else if (this.link === 'live' && (this.speed ?? 1) > 20 && sinceRefill >= REFILL_MS) {
        sinceRefill = 0
        await this.#refill()
      }
      this.#later(() => void look(), WATCH_MS)
    }
    this.#later(() => void look(), WATCH_MS)
  }

  async #askHealth(): Promise<void> {
    try {
      await api.health()
      this.#heard = this.stopwatch()
    } catch {
      this.#retry()
    }
  }

  async #refill(): Promise<void> {
    try {
      const { readings, gauges, actions, forecast } = await api.run(this.id)
      if (readings.time_s.length) this.columns = readings
      if (this.snapshot) this.snapshot = { ...this.snapshot, gauges, actions, forecast }
    } catch {
      // The feed itself says when the server is gone.
    }
  }

  /** After a person's action: the list of actions and gauges as the record has them. */
  async refresh(): Promise<void> {
    await this.#refill()
  }
}
