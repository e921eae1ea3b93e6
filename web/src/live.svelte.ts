// The live feed of one run: opens it, keeps it open, says when it is lost or stands still. Nothing here reads the phone's clock.
import { isOn, type Knowledge } from './knowledge'
import { noColumns, withPoint } from './live/columns'
import { api, ApiError, liveAddress } from './server'
import type { Columns, KnowledgeMessage, LiveEvent, Recorded, RunSnapshot } from './types'

/** Longest list of what was said that is kept. */
export const SAID_MAX = 500
/** Silence after which the server is asked whether it is still there, ms. */
export const SILENCE_MS = 5000
/** A run whose time has not grown for this long stands still, whoever answers, ms (judgement: ten messages). */
export const STALL_MS = 10_000
/** Waits between attempts to come back, ms; the last one repeats. */
export const WAITS_MS = [500, 1000, 2000, 4000, 8000] as const
/** At a fast rehearsal the drawings are filled up from the record this often, ms. */
const REFILL_MS = 5000
/** What others recorded is asked for no oftener than this, ms: within a second, and not for each of many acts. */
const RECORDED_MS = 400
const WATCH_MS = 2000
/** How long it stands that the feed is back, ms (judgement: long enough to be read, gone before it is old). */
const BACK_MS = 20_000

export const waitBefore = (attempt: number): number => WAITS_MS[Math.min(attempt, WAITS_MS.length - 1)] ?? 8000

/** `stalled`: the server answers, but the time of a run that is on does not grow. */
export type Link = 'opening' | 'live' | 'lost' | 'stalled'

export const readKnowledge = (text: string): KnowledgeMessage => JSON.parse(text) as KnowledgeMessage

export interface Source {
  addEventListener(name: string, listener: (event: MessageEvent<string>) => void): void
  close(): void
  readonly readyState: number
}

export class LiveRun {
  snapshot = $state.raw<RunSnapshot | null>(null)
  knowledge = $state.raw<Knowledge | null>(null)
  columns = $state.raw<Columns>(noColumns())
  said = $state.raw<LiveEvent[]>([])
  speed = $state<number | null>(null)
  /** UTC ms of run time 0; none before heat. It travels with every message. */
  startedMs = $state<number | null>(null)
  /** Newest entry that somebody made, withdrew or corrected: what shows the record asks again when it grows. */
  recorded = $state(0)
  link = $state<Link>('opening')
  /** Run time when it last grew, s: what the page shows as "since". */
  heardAt = $state(0)
  trouble = $state('')
  /** Said for a while after the feed was lost and is back: how long it was, and that nothing is missing. */
  back = $state('')

  #source: Source | null = null
  #attempt = 0
  /** How often it was back: only the last one's time is over. */
  #backs = 0
  #lastEntry = 0
  #heard = 0
  /** Events heard since the record was last taken. */
  #heardSince = 0
  #grew = 0
  #refilling = false
  #again = false
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
    source.addEventListener('knowledge', (event) => this.#onKnowledge(event))
    source.addEventListener('recorded', (event) => this.#onRecorded((JSON.parse(event.data) as Recorded).entry))
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

  /** What is known, for what stands on the page only once something is. */
  get known(): Knowledge {
    if (!this.knowledge) throw new Error('Nothing is known of this run yet.')
    return this.knowledge
  }

  /** Only then may a number stand on the page as of now. */
  get live(): boolean { return this.link === 'live' }

  /** The run time of this moment, s, also while nothing is heard: a real run goes on by itself. */
  nowS(): number {
    const known = this.knowledge
    if (!known) return 0
    const real = this.snapshot?.mode === 'real' && isOn(known)
    return known.time_s + (real ? (this.stopwatch() - this.#heard) / 1000 : 0)
  }

  /** Takes the record as it stands: the past, and where the feed goes on from. */
  #take(snapshot: RunSnapshot): void {
    if (this.link === 'lost' && this.snapshot) this.#sayBack(snapshot)
    this.snapshot = snapshot
    this.startedMs = snapshot.started ? snapshot.started_ms : null
    this.columns = snapshot.readings ?? noColumns()
    this.#heardSince = 0
    this.said = snapshot.events.slice(-SAID_MAX)
    this.speed = snapshot.speed
    this.#lastEntry = snapshot.last_entry
    this.trouble = ''
    // A feed opened anew is given its time to show that the run goes on; one that stood still must show it first.
    if (this.link !== 'stalled') this.#grow(snapshot.knowledge.time_s)
    this.recorded = Math.max(this.recorded, snapshot.last_entry)
    this.#hear(snapshot.knowledge)
  }

  /** The record as it stands holds everything that was said and done meanwhile: the feed goes on from its last entry. */
  #sayBack(snapshot: RunSnapshot): void {
    const said = snapshot.events.length - (this.snapshot?.events.length ?? 0) - this.#heardSince
    const missed = Math.max(said, 0) + snapshot.actions.filter(({ entry }) => entry > this.recorded).length
    const away = Math.max(0, Math.round(snapshot.knowledge.time_s - this.heardAt))
    const entries = missed === 1 ? '1 entry' : `${missed} entries`
    this.back = `Back after ${away < 120 ? `${away} s` : `${Math.round(away / 60)} min`} without a connection. ${missed > 0 ? `${entries} meanwhile, all in the log.` : 'Nothing was said or done meanwhile.'}`
    const turn = ++this.#backs
    this.#later(() => { if (turn === this.#backs) this.back = '' }, BACK_MS)
  }

  #grow(runSeconds: number): void {
    this.#grew = this.stopwatch()
    this.heardAt = runSeconds
    this.link = 'live'
  }

  #hear(known: Knowledge): void {
    if (!this.#mustGrow(known) || known.time_s !== this.knowledge?.time_s) this.#grow(known.time_s)
    this.knowledge = known
    this.#heard = this.stopwatch()
    this.#attempt = 0
  }

  /** A run that is on; a rehearsal may be halted. */
  #mustGrow(known: Knowledge | null): boolean {
    return known !== null && isOn(known) && this.speed !== 0
  }

  #onKnowledge(event: MessageEvent<string>): void {
    const { knowledge, started_ms, recorded, point } = readKnowledge(event.data)
    if (point) this.columns = withPoint(this.columns, point)
    this.startedMs = started_ms ?? null
    this.#onRecorded(recorded)
    this.#hear(knowledge)
  }

  /** Somebody recorded something, here or on another device. */
  #onRecorded(entry: number): void {
    if (entry <= this.recorded) return
    this.recorded = entry
    void this.#refill()
  }

  #onSaid(event: MessageEvent<string>): void {
    const entry = Number(event.lastEventId)
    if (Number.isFinite(entry) && entry > 0) {
      if (entry <= this.#lastEntry) return
      this.#lastEntry = entry
    }
    const said = JSON.parse(event.data) as LiveEvent
    this.#heardSince += 1
    this.said = [...this.said, said].slice(-SAID_MAX)
    this.onSaid(said)
  }

  #onSpeed(event: MessageEvent<string>): void {
    const data = JSON.parse(event.data) as { speed: number } | number
    this.speed = typeof data === 'number' ? data : data.speed
    this.#grew = this.stopwatch()
  }

  #retry(): void {
    if (this.#closed) return
    this.#source?.close()
    this.#source = null
    this.link = 'lost'
    this.back = ''
    this.#later(() => { if (this.link === 'lost') void this.#connect() }, waitBefore(this.#attempt))
    this.#attempt += 1
  }

  #later(work: () => void, ms: number): void {
    const timer = setTimeout(() => {
      this.#timers = this.#timers.filter((other) => other !== timer)
      work()
    }, ms)
    this.#timers.push(timer)
  }

  /** A feed can fall silent without an error, and a run can stand still behind a server that answers: look for both. */
  #watch(): void {
    let sinceRefill = 0
    const look = async (): Promise<void> => {
      if (this.#closed) return
      sinceRefill += WATCH_MS
      const now = this.stopwatch()
      if (this.#open && this.#mustGrow(this.knowledge) && now - this.#grew > STALL_MS) {
        this.link = 'stalled'
        this.#grew = now
        await this.#connect()
      } else if (this.#open && now - this.#heard > SILENCE_MS) await this.#askHealth()
      else if (this.live && (this.speed ?? 1) > 20 && sinceRefill >= REFILL_MS) {
        sinceRefill = 0
        await this.#refill()
      }
      this.#later(() => void look(), WATCH_MS)
    }
    this.#later(() => void look(), WATCH_MS)
  }

  get #open(): boolean { return this.link === 'live' || this.link === 'stalled' }

  async #askHealth(): Promise<void> {
    try {
      await api.health()
      this.#heard = this.stopwatch()
    } catch {
      this.#retry()
    }
  }

  async #refill(): Promise<void> {
    if (this.#refilling) {
      this.#again = true
      return
    }
    this.#refilling = true
    try {
      const snapshot = await api.run(this.id)
      if (this.#closed) return
      if (snapshot.readings.time_s.length) this.columns = snapshot.readings
      this.#heardSince = 0
      this.snapshot = snapshot
      // Of a run that is not going on the feed may say nothing: a jar measured after the end comes from the record.
      if (!isOn(snapshot.knowledge)) this.#hear(snapshot.knowledge)
    } catch {
      // The feed itself says when the server is gone.
    } finally {
      this.#later(() => {
        this.#refilling = false
        if (this.#again) void this.#refill()
        this.#again = false
      }, RECORDED_MS)
    }
  }

  /** Somebody answered again: the feed is opened now, not only when the wait is over. */
  comeBack(): void {
    if (this.link !== 'lost' || this.#closed || this.#source) return
    this.#attempt = 0
    void this.#connect()
  }

  /** After a person's act: the run as the record has it. */
  async refresh(): Promise<void> {
    await this.#refill()
  }
}
