// A pad gives way to an alarm once: one that comes back into hearing does not take it away again.

/** An alarm as it was raised: by its code and the second of the run. */
interface Raised { code: string; time_s: number }

export class GaveWay {
  #to = new Set<string>()

  /** Whether nothing has given way to this alarm yet; from now on something has. */
  first({ code, time_s }: Raised): boolean {
    const raised = `${code} ${time_s}`
    if (this.#to.has(raised)) return false
    this.#to.add(raised)
    return true
  }
}
