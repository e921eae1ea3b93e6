// Records what the person did. The page drives nothing: every key means "this was changed by hand".
import { api, ApiError } from '../server'
import type { LiveRun } from '../live.svelte'
import type { NewAction, RunPlan } from '../types'
import { stepValues } from './sentence'

/** How long a new jar can be taken back, s. */
export const UNDO_S = 10

export class Recorder {
  trouble = $state('')
  busy = $state(false)
  /** The jar just opened, while it can be taken back. */
  undoable = $state<{ jar: number; entry: number; left: number } | null>(null)
  #ticker: ReturnType<typeof setInterval> | null = null

  constructor(private readonly run: LiveRun) {}

  async act(action: NewAction): Promise<number | null> {
    return this.#try(async () => (await api.act(this.run.id, action)).entry)
  }

  async read(row: Record<string, number>): Promise<void> {
    await this.#try(() => api.read(this.run.id, row))
  }

  get nextJar(): number {
    return (this.run.advice?.jars ?? []).reduce((most, jar) => (jar.status === 'expected' ? most : Math.max(most, jar.number)), 0) + 1
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
    await this.#try(() => api.undo(this.run.id, held.entry))
  }

  /** Begins a step of the plan: the step, and the power, take-off and jar that go with it. */
  async begin(plan: RunPlan, index: number): Promise<void> {
    const step = plan.step[index]
    const advice = this.run.advice
    if (!step || !advice) return
    const { watts, takeOff } = stepValues(step)
    const draws = takeOff !== null && ['foreshots', 'heads', 'hearts', 'tails'].includes(step.do)
    const jar = this.nextJar
    await this.#try(async () => {
      if (watts !== null && watts !== advice.heater_w) await api.act(this.run.id, { action: 'heater', value: watts, unit: 'W' })
      if (takeOff) await api.act(this.run.id, { action: 'takeoff', value: takeOff.value, unit: takeOff.unit })
      await api.act(this.run.id, { action: 'step', note: step.do })
      if (draws) await api.act(this.run.id, { action: 'jar', value: jar })
    })
  }

  close(): void {
    if (this.#ticker) clearInterval(this.#ticker)
  }

  #countDown(): void {
    if (!this.undoable) return
    const left = this.undoable.left - 1
    this.undoable = left > 0 ? { ...this.undoable, left } : null
  }

  async #try<T>(work: () => Promise<T>): Promise<T | null> {
    this.busy = true
    try {
      const done = await work()
      this.trouble = ''
      void this.run.refresh()
      return done
    } catch (error) {
      this.trouble = error instanceof ApiError ? error.line : String(error)
      return null
    } finally {
      this.busy = false
    }
  }
}
