// What the person pressed, on its way to the record: kept in order while the server is away, sent when it is back, or said to be lost.
import type { Keeper, Kept } from './kept'

/** Acts that may wait (judgement: more than a person presses in ten minutes). */
export const WAITING_MAX = 40
/** An act that has waited longer is not recorded any more: what followed from it is past, s. */
export const LOST_AFTER_S = 600
/** Lines kept about what was lost. */
const LOST_MAX = 20
/** While something waits, it is tried again this often, ms. */
export const AGAIN_MS = 3000

/** Thrown by `send` when nobody answered: whether it arrived is not known. */
export class NoAnswer extends Error {}

export interface Item<Ask> { key: string; ask: Ask; words: string; /** Run time of the press, s. */ atS: number; /** Stopwatch at the press, ms. */ atMs: number; tries: number; done: (entry: number | null) => void }
export interface Lost { key: string; words: string; atS: number; why: string }

export interface Clocks { runS: () => number; stopwatch: () => number }

export class Outbox<Ask> {
  waiting = $state.raw<Item<Ask>[]>([])
  lost = $state.raw<Lost[]>([])
  /** Somebody pressed and nobody answered. */
  held = $state(false)
  #sending = false
  #timer: ReturnType<typeof setTimeout> | null = null
  #closed = false

  constructor(private readonly send: (ask: Ask, key: string, agoS: number) => Promise<number | null>, private readonly refused: (why: string) => void, private readonly clocks: Clocks, private readonly keeper: Keeper<Ask>) {
    const kept = keeper.all()
    this.lost = kept.flatMap(({ key, words, atS, why }) => (why === undefined ? [] : [{ key, words, atS, why }])).slice(-LOST_MAX)
    this.waiting = kept.filter((item) => item.why === undefined).slice(0, WAITING_MAX).map((item) => this.#again(item))
    this.held = this.waiting.length > 0
  }

  /** Takes an act; the answer is its entry, or nothing where it was refused, lost or taken back. */
  put(ask: Ask, words: string): Promise<number | null> {
    return new Promise((done) => {
      const item = { key: newKey(), ask, words, atS: this.clocks.runS(), atMs: this.clocks.stopwatch(), tries: 0, done }
      if (this.waiting.length >= WAITING_MAX) this.#lose(item, 'too much waits already')
      else {
        this.waiting = [...this.waiting, item]
        this.keeper.put(item)
        void this.flush()
      }
    })
  }

  /** Takes back an act that still waits. */
  takeBack(key: string): void {
    const item = this.waiting.find((other) => other.key === key)
    if (!item || (this.#sending && item === this.waiting[0])) return
    this.#drop(item)
    if (!this.waiting.length) this.held = false
    item.done(null)
  }

  /** Sends what waits, oldest first, until one gets no answer. */
  async flush(): Promise<void> {
    if (this.#sending || this.#closed) return
    this.#sending = true
    try {
      for (let item = this.waiting[0]; item; item = this.waiting[0]) {
        if (!(await this.#one(item))) break
      }
    } finally {
      this.#sending = false
    }
    if (this.waiting.length) this.#later()
    else this.held = false
  }

  /** The person has read what is lost. */
  forget(): void {
    for (const { key } of this.lost) this.keeper.drop(key)
    this.lost = []
  }

  close(): void {
    this.#closed = true
    if (this.#timer) clearTimeout(this.#timer)
  }

  /** False where nobody answered. */
  async #one(item: Item<Ask>): Promise<boolean> {
    if (!this.keeper.waits(item.key)) {
      this.#forgo(item)
      return true
    }
    const agoS = Math.max(this.clocks.runS() - item.atS, 0)
    const waitedS = Math.max(agoS, (this.clocks.stopwatch() - item.atMs) / 1000)
    if (item.tries > 0 && waitedS > LOST_AFTER_S) {
      this.#lose(item, 'it waited more than 10 min')
      return true
    }
    try {
      const entry = await this.send(item.ask, item.key, item.tries > 0 ? agoS : 0)
      this.#drop(item)
      item.done(entry)
    } catch (error) {
      const why = error instanceof Error ? error.message : String(error)
      if (error instanceof NoAnswer) {
        item.tries += 1
        this.held = true
        return false
      }
      if (item.tries > 0) this.#lose(item, why)
      else {
        this.#drop(item)
        this.refused(why)
        item.done(null)
      }
    }
    return true
  }

  #drop(item: Item<Ask>): void {
    this.keeper.drop(item.key)
    this.waiting = this.waiting.filter((other) => other !== item)
  }

  /** Another page of this browser has seen to it. */
  #forgo(item: Item<Ask>): void {
    this.waiting = this.waiting.filter((other) => other !== item)
    item.done(null)
  }

  #lose(item: Item<Ask>, why: string): void {
    this.waiting = this.waiting.filter((other) => other !== item)
    this.keeper.put({ ...item, why })
    const lost = [...this.lost, { key: item.key, words: item.words, atS: item.atS, why }]
    for (const { key } of lost.slice(0, -LOST_MAX)) this.keeper.drop(key)
    this.lost = lost.slice(-LOST_MAX)
    item.done(null)
  }

  /** An act of a page that was left: perhaps it had been sent. */
  #again({ key, ask, words, atS }: Kept<Ask>): Item<Ask> {
    return { key, ask, words, atS, atMs: this.clocks.stopwatch(), tries: 1, done: () => {} }
  }

  #later(): void {
    if (this.#timer || this.#closed) return
    this.#timer = setTimeout(() => { this.#timer = null; void this.flush() }, AGAIN_MS)
  }
}

/** A key of its own for each press: the same act sent twice is taken once. */
function newKey(): string {
  const bytes = new Uint8Array(16)
  crypto.getRandomValues(bytes)
  return [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('')
}
