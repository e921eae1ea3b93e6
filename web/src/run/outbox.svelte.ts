// What the person pressed, on its way to the record: kept in order while the server is away, sent when it is back, or said to be lost.

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
export interface Lost { words: string; atS: number; why: string }

export interface Clocks { runS: () => number; stopwatch: () => number }

export class Outbox<Ask> {
  waiting = $state.raw<Item<Ask>[]>([])
  lost = $state.raw<Lost[]>([])
  /** Somebody pressed and nobody answered. */
  held = $state(false)
  #sending = false
  #timer: ReturnType<typeof setTimeout> | null = null
  #closed = false

  constructor(private readonly send: (ask: Ask, key: string, agoS: number) => Promise<number | null>, private readonly refused: (why: string) => void, private readonly clocks: Clocks) {}

  /** Takes an act; the answer is its entry, or nothing where it was refused, lost or taken back. */
  put(ask: Ask, words: string): Promise<number | null> {
    return new Promise((done) => {
      const item = { key: newKey(), ask, words, atS: this.clocks.runS(), atMs: this.clocks.stopwatch(), tries: 0, done }
      if (this.waiting.length >= WAITING_MAX) this.#lose(item, 'too much waits already')
      else {
        this.waiting = [...this.waiting, item]
        void this.flush()
      }
    })
  }

  /** Takes back an act that still waits. */
  takeBack(key: string): void {
    const item = this.waiting.find((other) => other.key === key)
    if (!item || (this.#sending && item === this.waiting[0])) return
    this.waiting = this.waiting.filter((other) => other !== item)
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
    if (this.waiting.length) this.#again()
    else this.held = false
  }

  forget(): void { this.lost = [] }

  close(): void {
    this.#closed = true
    if (this.#timer) clearTimeout(this.#timer)
  }

  /** False where nobody answered. */
  async #one(item: Item<Ask>): Promise<boolean> {
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

  #drop(item: Item<Ask>): void { this.waiting = this.waiting.filter((other) => other !== item) }

  #lose(item: Item<Ask>, why: string): void {
    this.#drop(item)
    this.lost = [...this.lost, { words: item.words, atS: item.atS, why }].slice(-LOST_MAX)
    item.done(null)
  }

  #again(): void {
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
