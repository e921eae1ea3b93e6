// A key is dead for a moment after it acted: a second tap of wet fingers is no second act.

/** How long, ms. */
export const DEAD_MS = 2000

export class DeadKeys {
  #dead = $state.raw<ReadonlySet<string>>(new Set())
  #timers = new Map<string, ReturnType<typeof setTimeout>>()

  is(name: string): boolean { return this.#dead.has(name) }

  /** Does the work of a key, unless it is dead; then it is. */
  press(name: string, work: () => void): void {
    if (this.is(name)) return
    this.deaden(name)
    work()
  }

  deaden(name: string, ms = DEAD_MS): void {
    clearTimeout(this.#timers.get(name))
    this.#dead = new Set([...this.#dead, name])
    this.#timers.set(name, setTimeout(() => {
      this.#timers.delete(name)
      this.#dead = new Set([...this.#dead].filter((other) => other !== name))
    }, ms))
  }

  close(): void {
    for (const timer of this.#timers.values()) clearTimeout(timer)
    this.#timers.clear()
  }
}
