// What waits to be recorded, kept in this browser: a page that is loaded anew neither loses it nor records it twice.

/** One act that is not in the record: it waits, or with a reason it is lost and nobody has read so yet. */
export interface Kept<Ask> { key: string; ask: Ask; words: string; /** Run time of the press, s. */ atS: number; why?: string }

export interface Keeper<Ask> {
  /** In the order of the presses. */
  all(): Kept<Ask>[]
  put(item: Kept<Ask>): void
  drop(key: string): void
  /** False once this or another page has recorded it, taken it back or said that it is lost. */
  waits(key: string): boolean
}

export type Shelf = Pick<Storage, 'getItem' | 'setItem' | 'removeItem' | 'key' | 'length'>

type Ordered<Ask> = Kept<Ask> & { order: number }

/** Keeps the acts of one run under names of their own, so that two pages do not overwrite each other's. */
export class RunKeeper<Ask> implements Keeper<Ask> {
  readonly #prefix: string
  /** What the browser would not take: it lives as long as the page. */
  readonly #memory = new Map<string, string>()

  constructor(run: string, private readonly shelf: Shelf | null = browserShelf()) {
    this.#prefix = `middlecut.waiting.${run}.`
  }

  all(): Ordered<Ask>[] {
    const found = this.#names().map((name) => ({ name, item: readKept<Ask>(this.#read(name)) }))
    for (const { name, item } of found) if (!item) this.#remove(name)
    return found.flatMap(({ item }) => (item ? [item] : [])).sort((a, b) => a.order - b.order)
  }

  put({ key, ask, words, atS, why }: Kept<Ask>): void {
    const name = this.#prefix + key
    const order = readKept<Ask>(this.#read(name))?.order ?? Math.max(-1, ...this.all().map((item) => item.order)) + 1
    const text = JSON.stringify({ key, ask, words, atS, order, ...(why === undefined ? {} : { why }) })
    try {
      if (!this.shelf) throw new Error('this browser keeps nothing')
      this.shelf.setItem(name, text)
    } catch {
      this.#memory.set(name, text)
    }
  }

  drop(key: string): void { this.#remove(this.#prefix + key) }

  waits(key: string): boolean {
    const item = readKept<Ask>(this.#read(this.#prefix + key))
    return item !== null && item.why === undefined
  }

  #names(): string[] {
    const shelf = this.shelf
    const kept = shelf ? Array.from({ length: shelf.length }, (_, i) => shelf.key(i) ?? '') : []
    return [...new Set([...kept, ...this.#memory.keys()])].filter((name) => name.startsWith(this.#prefix))
  }

  #read(name: string): string | null { return this.#memory.get(name) ?? this.shelf?.getItem(name) ?? null }

  #remove(name: string): void {
    this.#memory.delete(name)
    this.shelf?.removeItem(name)
  }
}

function readKept<Ask>(text: string | null): Ordered<Ask> | null {
  try {
    const item = JSON.parse(text ?? 'null') as Ordered<Ask> | null
    return item && typeof item.key === 'string' && typeof item.words === 'string' && Number.isFinite(item.atS) && Number.isFinite(item.order) && item.ask ? item : null
  } catch {
    return null
  }
}

/** A browser may forbid it altogether. */
function browserShelf(): Shelf | null {
  try {
    return globalThis.localStorage ?? null
  } catch {
    return null
  }
}
