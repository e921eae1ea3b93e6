// One question to the bench, asked again a moment after it was changed.
import { ApiError } from '../server'

const WAIT_MS = 200

export class Asked<Ask, Answer> {
  answer = $state.raw<Answer | null>(null)
  trouble = $state('')
  #timer: ReturnType<typeof setTimeout> | undefined
  #count = 0
  constructor(readonly ask: (asked: Ask) => Promise<Answer>) {}

  /** Asks; gives what ends the asking. */
  put(asked: Ask): () => void {
    clearTimeout(this.#timer)
    const mine = ++this.#count
    this.#timer = setTimeout(() => {
      this.ask(asked).then(
        (answer) => { if (mine === this.#count) { this.answer = answer; this.trouble = '' } },
        (error: unknown) => { if (mine === this.#count) { this.answer = null; this.trouble = error instanceof ApiError ? error.line : String(error) } },
      )
    }, WAIT_MS)
    return () => { clearTimeout(this.#timer); this.#count++ }
  }
}
