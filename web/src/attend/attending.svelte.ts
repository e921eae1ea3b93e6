// All runs that are going on, asked for again and again: their alarms must be seen and heard on every page.
import { api, ApiError } from '../server'
import { alarmSound, unseen } from '../sound.svelte'
import type { Attended, Attending, Priority } from '../types'

/** From one look to the next, ms. */
export const LOOK_MS = 2000
/** Looks without an answer after which nothing counts as known. */
const MISSED_MOST = 2

const RANK: readonly Priority[] = ['low', 'medium', 'high', 'critical']
const urgency = (run: Attended): number => {
  const alarm = run.now ? unseen([...run.now.alarms], run.now.seen) : null
  return alarm ? RANK.indexOf(alarm.priority) : run.need === 'unknown' ? RANK.indexOf('high') : -1
}

/** How loudly the runs ask, all together: the most urgent alarm that nobody has seen, or a run of which nothing is known. */
export function loudest(runs: readonly Attended[]): Priority | null {
  return RANK[Math.max(-1, ...runs.map(urgency))] ?? null
}

class AttendingState {
  now = $state.raw<Attending | null>(null)
  /** Nothing has been heard for a while: what was known is not shown any more. */
  lost = $state(false)
  /** Asked for once, with an answer or none. */
  asked = $state(false)
  #users = 0
  #missed = 0
  /** The program knows no such question. */
  #none = false
  #timer: ReturnType<typeof setTimeout> | undefined

  /** Looks as long as somebody uses it; the answer ends that. */
  use(): () => void {
    this.#users += 1
    if (this.#users === 1) void this.#look()
    let over = false
    return () => {
      if (over) return
      over = true
      this.#users -= 1
      if (this.#users > 0) return
      clearTimeout(this.#timer)
      this.now = null
      this.lost = false
      this.#missed = 0
      alarmSound.alarm(null)
    }
  }

  async #look(): Promise<void> {
    try {
      this.#take(await api.attending())
    } catch (error) {
      this.#miss(error instanceof ApiError ? error.problem.status : 0)
    }
    this.asked = true
    if (this.#users > 0 && !this.#none) this.#timer = setTimeout(() => void this.#look(), LOOK_MS)
  }

  #take(answer: Attending): void {
    if (this.#users === 0) return
    this.now = answer
    this.lost = false
    this.#missed = 0
    alarmSound.alarm(loudest(answer.runs))
  }

  #miss(status: number): void {
    this.#none = status === 404
    if (this.#users === 0 || (status >= 400 && status < 500)) return
    this.#missed += 1
    if (this.#missed < MISSED_MOST) return
    // Only where a run was going on is there anything to be lost.
    this.lost = this.lost || (this.now?.runs.length ?? 0) > 0
    this.now = null
    if (this.lost) alarmSound.alarm('high')
  }
}

export const attending = new AttendingState()
