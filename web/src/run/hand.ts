// A finger or a mouse that moves a drawing sideways: the drawing is shifted as it is, and drawn again when it is let go.
import { tick } from 'svelte'

export class Hand {
  /** Where the finger took hold, px; none while nothing is held. */
  #from: number | null = null
  #to = 0
  #frame = 0
  #sheet: SVGElement | null = null

  /** `moved` is told how far the paper was moved to the right, px; `most` is how far it is drawn beyond its window. */
  constructor(private readonly moved: (px: number) => void, private readonly most: () => number) {}

  /** Listens on the drawing. */
  readonly holds = (sheet: SVGElement): (() => void) => {
    this.#sheet = sheet
    const up = (): void => this.#letGo()
    const hears: [string, (event: PointerEvent) => void][] = [['pointerdown', this.#down], ['pointermove', this.#drag], ['pointerup', up], ['pointercancel', up], ['pointerleave', up]]
    for (const [name, listener] of hears) sheet.addEventListener(name, listener as EventListener)
    return () => {
      for (const [name, listener] of hears) sheet.removeEventListener(name, listener as EventListener)
      cancelAnimationFrame(this.#frame)
    }
  }

  #down = (event: PointerEvent): void => {
    if (!event.isPrimary || event.button !== 0) return
    this.#from = this.#to = event.clientX
  }

  #drag = (event: PointerEvent): void => {
    if (this.#from === null || !event.isPrimary) return
    this.#to = event.clientX
    this.#frame ||= requestAnimationFrame(() => this.#shift())
  }

  #shift(): void {
    this.#frame = 0
    if (this.#from === null || !this.#sheet) return
    const px = this.#to - this.#from
    if (Math.abs(px) >= this.most()) {
      this.#from = this.#to
      this.#drawAgain(px)
      return
    }
    this.#sheet.classList.add('held')
    this.#sheet.style.transform = `translateX(${px}px)`
  }

  #letGo(): void {
    if (this.#from === null) return
    const px = this.#to - this.#from
    this.#from = null
    if (px) this.#drawAgain(px)
  }

  /** The new drawing and the end of the shift come with one frame. */
  #drawAgain(px: number): void {
    this.moved(px)
    void tick().then(() => {
      if (!this.#sheet) return
      this.#sheet.style.transform = ''
      if (this.#from === null) this.#sheet.classList.remove('held')
    })
  }
}
