// Records what the person did. The page drives nothing: every key means "this was changed by hand".
import type { Act } from '../knowledge'
import type { LiveRun } from '../live.svelte'
import { beginWords } from '../plan/steps'
import { api, ApiError, type Recordings } from '../server'
import type { NewAction, NewJar, ReadingRow, RunPlan } from '../types'
import type { Entered } from '../typed'
import { DeadKeys } from './dead.svelte'
import { RunKeeper } from './kept'
import { NoAnswer, Outbox } from './outbox.svelte'
import { actionWords, jarRecordWords, plain } from './said'
import type { Question } from './unlikely'

/** How long a new jar can be taken back at one press, s; later in the log. */
export const UNDO_S = 10

/** What is to be recorded, and where. */
export type Ask = { [To in keyof Recordings]: { to: To; body: Recordings[To] } }[keyof Recordings]

export class Recorder {
  trouble = $state('')
  /** Something that can be but is unlikely: asked about before it is recorded. */
  question = $state.raw<Question | null>(null)
  /** The jar just opened, while it can be taken back. */
  undoable = $state<{ jar: number; entry: number; left: number } | null>(null)
  readonly dead = new DeadKeys()
  readonly outbox: Outbox<Ask>
  #ticker: ReturnType<typeof setInterval> | null = null

  constructor(private readonly run: LiveRun) {
    const clocks = { runS: () => run.nowS(), stopwatch: () => performance.now() }
    this.outbox = new Outbox<Ask>((ask, key, agoS) => this.#send(ask, key, agoS), (why) => (this.trouble = why), clocks, new RunKeeper<Ask>(run.id))
  }

  /** Records something; the answer is its entry, nothing where it was refused, lost or so already. */
  put(ask: Ask, words: string): Promise<number | null> {
    this.trouble = ''
    return this.outbox.put(ask, words)
  }

  act(action: NewAction): Promise<number | null> {
    return this.put({ to: 'actions', body: action }, actionWords(action) || `${plain(action.action)}.`)
  }

  /** What was read by eye, so many seconds ago. */
  read(row: ReadingRow, agoS = 0, entered: Entered[] = []): Promise<number | null> {
    const then = agoS ? { time_s: Math.max(this.run.nowS() - agoS, 0) } : {}
    return this.put({ to: 'readings', body: { rows: [{ ...row, ...then }], by_hand: true, ...(entered.length ? { entered } : {}) } }, 'A reading by hand.')
  }

  jar(jar: NewJar): Promise<number | null> {
    return this.put({ to: 'jars', body: jar }, jarRecordWords(jar))
  }

  /** The number of the next jar, those that wait to be recorded counted in. */
  get nextJar(): number {
    const known = (this.run.knowledge?.jars ?? []).reduce((most, jar) => (jar.status === 'expected' ? most : Math.max(most, jar.number)), 0)
    return this.outbox.waiting.reduce((most, { ask }) => (ask.to === 'actions' && ask.body.action === 'jar' ? Math.max(most, Number(ask.body.value)) : most), known) + 1
  }

  async newJar(): Promise<void> {
    await this.#open(this.nextJar, 0)
  }

  /** The jar just opened was put there some time ago: the entry is taken back and made again at its own time. */
  async earlier(seconds: number): Promise<void> {
    const held = this.undoable
    if (!held) return
    this.undoable = null
    await this.takeBack(held.entry, `Jar ${held.jar} was opened earlier.`)
    await this.#open(held.jar, seconds)
  }

  async #open(jar: number, agoS: number): Promise<void> {
    const entry = await this.act({ action: 'jar', value: jar, ...(agoS ? { ago_s: agoS } : {}) })
    if (entry === null) return
    this.undoable = { jar, entry, left: UNDO_S }
    this.#ticker ??= setInterval(() => this.#countDown(), 1000)
  }

  async undo(): Promise<void> {
    const held = this.undoable
    if (!held) return
    this.undoable = null
    await this.takeBack(held.entry, `Jar ${held.jar} was not opened.`)
  }

  /** Takes back an entry of any age; it stays in the log, struck through. */
  takeBack(entry: number, words: string): Promise<number | null> {
    return this.put({ to: 'undo', body: { entry } }, words)
  }

  /** Begins a step of the plan: the step, and the power, take-off and jar that go with it, as one act. */
  begin(plan: RunPlan, step: number): Promise<number | null> {
    return this.put({ to: 'begin', body: { step, after: this.run.knowledge?.step.index ?? 0 } }, `${beginWords(plan, step)}.`)
  }

  /** Does what the key beside the instruction says. */
  async take(act: Act, plan: RunPlan): Promise<void> {
    if (act.do === 'begin') await this.put({ to: 'begin', body: { step: act.step, after: act.after } }, `${beginWords(plan, act.step)}.`)
    else if (act.do === 'jar') await this.newJar()
    else if (act.do === 'here') await this.act({ action: 'here' })
    else if (act.do === 'coolant') await this.act({ action: 'coolant', value: act.l_per_min, unit: 'l_per_min' })
    else await this.act({ action: 'heater', value: act.watts, unit: 'W' })
  }

  /** The answer to the question: the act as it is so or as it was meant, or nothing. */
  answer(ask: Ask | null): void {
    const question = this.question
    this.question = null
    if (question && ask) void this.put(ask, question.words)
  }

  close(): void {
    if (this.#ticker) clearInterval(this.#ticker)
    this.outbox.close()
    this.dead.close()
  }

  async #send(ask: Ask, key: string, agoS: number): Promise<number | null> {
    try {
      const late = this.#late(ask, agoS)
      const entry = await api.record(this.run.id, late.to, { ...late.body, key })
      this.run.comeBack()
      void this.run.refresh()
      return entry
    } catch (error) {
      if (!(error instanceof ApiError)) throw error
      if (error.problem.status === 0) throw new NoAnswer(error.line)
      if (error.problem.code === 'unlikely') {
        this.question = { what: error.problem.what ?? error.line, suggest: error.problem.suggest ?? null, field: error.problem.field ?? null, ask, words: this.outbox.waiting.find((item) => item.key === key)?.words ?? '' }
        return null
      }
      throw new Error(error.line)
    }
  }

  /** As of when it was done, where it waited. */
  #late(ask: Ask, agoS: number): Ask {
    if (agoS < 1) return ask
    if (ask.to === 'actions') return { to: 'actions', body: { ...ask.body, ago_s: (ask.body.ago_s ?? 0) + agoS } }
    if (ask.to === 'readings') return { to: 'readings', body: { ...ask.body, rows: ask.body.rows.map((row) => ({ ...row, time_s: row.time_s ?? Math.max(this.run.nowS() - agoS, 0) })) } }
    return ask
  }

  #countDown(): void {
    if (!this.undoable) return
    const left = this.undoable.left - 1
    this.undoable = left > 0 ? { ...this.undoable, left } : null
  }
}
