// Records what the person did. The page drives nothing: every key means "this was changed by hand".
import type { Act } from '../knowledge'
import type { LiveRun } from '../live.svelte'
import { beginWords, draws, stepValues } from '../plan/steps'
import { api, ApiError, ATOMIC_ACTS } from '../server'
import type { NewAction, ReadingRow, RunPlan } from '../types'
import { DeadKeys } from './dead.svelte'
import { NoAnswer, Outbox } from './outbox.svelte'
import { actionWords, plain } from './said'

/** How long a new jar can be taken back, s. */
export const UNDO_S = 10

type Ask =
  | { kind: 'act'; action: NewAction }
  | { kind: 'read'; row: ReadingRow }
  | { kind: 'undo'; entry: number }
  | { kind: 'begin'; step: number; after: number; plan: RunPlan; heater: number | null; jar: number }

export class Recorder {
  trouble = $state('')
  /** The jar just opened, while it can be taken back. */
  undoable = $state<{ jar: number; entry: number; left: number } | null>(null)
  readonly dead = new DeadKeys()
  readonly outbox: Outbox<Ask>
  #ticker: ReturnType<typeof setInterval> | null = null

  constructor(private readonly run: LiveRun) {
    const clocks = { runS: () => run.nowS(), stopwatch: () => performance.now() }
    this.outbox = new Outbox<Ask>((ask, key, agoS) => this.#send(ask, key, agoS), (why) => (this.trouble = why), clocks)
  }

  act(action: NewAction): Promise<number | null> {
    return this.#put({ kind: 'act', action }, actionWords(action) || `${plain(action.action)}.`)
  }

  read(row: ReadingRow): Promise<number | null> {
    return this.#put({ kind: 'read', row }, 'Temperatures or pressure read.')
  }

  /** The number of the next jar, those that wait to be recorded counted in. */
  get nextJar(): number {
    const known = (this.run.knowledge?.jars ?? []).reduce((most, jar) => (jar.status === 'expected' ? most : Math.max(most, jar.number)), 0)
    return this.outbox.waiting.reduce((most, { ask }) => (ask.kind === 'act' && ask.action.action === 'jar' ? Math.max(most, Number(ask.action.value)) : most), known) + 1
  }

  async newJar(): Promise<void> {
    const jar = this.nextJar
    const entry = await this.act({ action: 'jar', value: jar })
    if (entry === null) return
    this.undoable = { jar, entry, left: UNDO_S }
    this.#ticker ??= setInterval(() => this.#countDown(), 1000)
  }

  async undo(): Promise<void> {
    const held = this.undoable
    if (!held) return
    this.undoable = null
    await this.#put({ kind: 'undo', entry: held.entry }, `Jar ${held.jar} was not opened.`)
  }

  /** Begins a step of the plan: the step, and the power, take-off and jar that go with it. */
  begin(plan: RunPlan, step: number): Promise<number | null> {
    const known = this.run.knowledge
    return this.#put({ kind: 'begin', step, after: known?.step.index ?? 0, plan, heater: known?.heater_w ?? null, jar: this.nextJar }, `${beginWords(plan, step)}.`)
  }

  /** Does what the key beside the instruction says. */
  async take(act: Act, plan: RunPlan): Promise<void> {
    if (act.do === 'begin') await this.begin(plan, act.step)
    else if (act.do === 'jar') await this.newJar()
    else if (act.do === 'here') await this.act({ action: 'here' })
    else if (act.do === 'coolant') await this.act({ action: 'coolant', value: act.l_per_min, unit: 'l_per_min' })
    else await this.act({ action: 'heater', value: act.watts, unit: 'W' })
  }

  close(): void {
    if (this.#ticker) clearInterval(this.#ticker)
    this.outbox.close()
    this.dead.close()
  }

  #put(ask: Ask, words: string): Promise<number | null> {
    this.trouble = ''
    return this.outbox.put(ask, words)
  }

  async #send(ask: Ask, key: string, agoS: number): Promise<number | null> {
    try {
      const entry = await this.#ask(ask, key, agoS)
      void this.run.refresh()
      return entry
    } catch (error) {
      if (!(error instanceof ApiError)) throw error
      throw error.problem.status === 0 ? new NoAnswer(error.line) : new Error(error.line)
    }
  }

  async #ask(ask: Ask, key: string, agoS: number): Promise<number | null> {
    const { id } = this.run
    if (ask.kind === 'undo') return (await api.undo(id, ask.entry)).entry
    if (ask.kind === 'read') return (await api.read(id, agoS >= 1 ? { ...ask.row, time_s: Math.max(this.run.nowS() - agoS, 0) } : ask.row)).entry
    if (ask.kind === 'act') return (await api.act(id, ago(ask.action, agoS), key)).entry
    if (ATOMIC_ACTS) return api.begin(id, ask.step, ask.after, key)
    return this.#beginInParts(ask, key, agoS)
  }

  /** Goes with [`ATOMIC_ACTS`]. */
  async #beginInParts({ plan, step: index, heater, jar }: Ask & { kind: 'begin' }, key: string, agoS: number): Promise<number | null> {
    const step = plan.step[index]
    if (!step) return null
    const { watts, takeOff } = stepValues(step)
    const parts: NewAction[] = []
    if (watts !== null && watts !== heater) parts.push({ action: 'heater', value: watts, unit: 'W' })
    if (takeOff) parts.push({ action: 'takeoff', value: takeOff.value, unit: takeOff.unit })
    parts.push({ action: 'step', note: step.do })
    if (takeOff !== null && draws(step.do)) parts.push({ action: 'jar', value: jar })
    let entry: number | null = null
    for (const [i, part] of parts.entries()) entry = (await api.act(this.run.id, ago(part, agoS), `${key}-${i}`)).entry
    return entry
  }

  #countDown(): void {
    if (!this.undoable) return
    const left = this.undoable.left - 1
    this.undoable = left > 0 ? { ...this.undoable, left } : null
  }
}

/** The action as of when it was done. */
function ago(action: NewAction, agoS: number): NewAction {
  const whole = (action.ago_s ?? 0) + agoS
  return whole >= 1 ? { ...action, ago_s: whole } : action
}
