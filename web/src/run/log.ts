// The log as it is read: a correction stands beside what it corrects, what was taken back stays, struck through.
import type { LogEntry } from '../types'

export interface Line {
  /** The entry as it was recorded first. */
  first: LogEntry
  /** What stands now: the last correction, or the entry itself. */
  last: LogEntry
  corrected: boolean
  withdrawn: LogEntry | null
}

/** Newest first, as the entries come; what amends another line is told in that line. */
export function linesOf(entries: readonly LogEntry[]): Line[] {
  const by = new Map(entries.map((entry) => [entry.entry, entry]))
  const beside = new Set(entries.map((entry) => entry.corrected_by).filter((number) => number !== null))
  return entries.filter((entry) => entry.kind !== 'amended' && !beside.has(entry.entry)).map((first) => {
    let last = first
    // Each correction is newer than what it corrects: the chain ends.
    for (let next = by.get(last.corrected_by ?? -1); next && next.entry > last.entry; next = by.get(last.corrected_by ?? -1)) last = next
    const withdrawn = [last.withdrawn_by, first.withdrawn_by].find((number) => number !== null) ?? null
    return { first, last, corrected: last !== first, withdrawn: withdrawn === null ? null : (by.get(withdrawn) ?? last) }
  })
}

/** The newest part put before what was read of the older ones. */
export function joined(newest: readonly LogEntry[], older: readonly LogEntry[]): LogEntry[] {
  const end = newest[newest.length - 1]?.entry ?? Infinity
  return [...newest, ...older.filter((entry) => entry.entry < end)]
}

/** Of a line about a jar: which jar. */
export function jarOf(entry: LogEntry): number | null {
  const found = entry.kind === 'jar' ? /^Jar (\d+)/.exec(entry.words) : null
  return found ? Number(found[1]) : null
}
