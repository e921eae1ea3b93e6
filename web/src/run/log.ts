// The log as it is read: a correction stands beside what it corrects, what was taken back stays, struck through; nothing is told twice.
import type { LogEntry } from '../types'

export interface Line {
  /** The entry as it was recorded first. */
  first: LogEntry
  /** What stands now: the last correction, or the entry itself. */
  last: LogEntry
  corrected: boolean
  withdrawn: LogEntry | null
  /** The same once more, oldest first: a prompt that was said again, a forecast that moved on. */
  again: LogEntry[]
}

/** A prompt is said again where it was not done: within this, it is the same prompt, s. */
const AGAIN_S = 90
/** What one press writes begins within this many entries of it, and at one time, s. */
const PRESS_ENTRIES = 8
const PRESS_S = 2

/** Newest first, as the entries come; what amends another line is told in that line. */
export function linesOf(entries: readonly LogEntry[]): Line[] {
  const by = new Map(entries.map((entry) => [entry.entry, entry]))
  const beside = new Set(entries.map((entry) => entry.corrected_by).filter((number) => number !== null))
  const { words, within } = begun(entries)
  const lines = entries.filter((entry) => entry.kind !== 'amended' && !beside.has(entry.entry) && !within.has(entry.entry)).map((entry): Line => {
    let last = entry
    // Each correction is newer than what it corrects: the chain ends.
    for (let next = by.get(last.corrected_by ?? -1); next && next.entry > last.entry; next = by.get(last.corrected_by ?? -1)) last = next
    const withdrawn = [last.withdrawn_by, entry.withdrawn_by].find((number) => number !== null) ?? null
    const told = words.get(entry.entry)
    const first = told === undefined ? entry : { ...entry, words: told }
    return { first, last: last === entry ? first : last, corrected: last !== entry, withdrawn: withdrawn === null ? null : (by.get(withdrawn) ?? last), again: [] }
  })
  return folded(lines)
}

/** A step that was begun is told once, by the name and number it has in the plan: not by its press, its kind and its event. */
function begun(entries: readonly LogEntry[]): { words: Map<number, string>; within: Set<number> } {
  const words = new Map<number, string>()
  const within = new Set<number>()
  let press: LogEntry | null = null
  let step: LogEntry | null = null
  for (const entry of [...entries].reverse()) {
    if (entry.kind === 'step' && entry.time_s === null) press = entry
    else if (entry.kind === 'step') {
      const pressed: boolean = press !== null && entry.entry - press.entry <= PRESS_ENTRIES
      if (pressed) within.add(entry.entry)
      step = pressed && press ? { ...press, time_s: entry.time_s } : entry
      press = null
    } else if (entry.kind === 'begins' && step && Math.abs((entry.time_s ?? 0) - (step.time_s ?? 0)) <= PRESS_S) {
      words.set(step.entry, entry.words)
      within.add(entry.entry)
      step = null
    }
  }
  return { words, within }
}

/** What was said again stands with what was said first; a forecast that goes on moving is one line, its last. */
function folded(lines: readonly Line[]): Line[] {
  const list: Line[] = []
  const prompts: Line[] = []
  let moved: number | null = null
  // Oldest first, so that the first is the line.
  for (const line of [...lines].reverse()) {
    const { kind, words, note, time_s } = line.first
    if (kind === 'moved') {
      const before = moved === null ? undefined : list.splice(moved, 1)[0]
      list.push(before ? { ...line, again: [...before.again, before.first] } : line)
      moved = list.length - 1
      continue
    }
    const same = kind === 'said' || kind === 'alarm' ? prompts.find(({ first }) => first.words === words && first.note === note && (time_s ?? 0) - (first.time_s ?? 0) <= AGAIN_S && (time_s ?? 0) >= (first.time_s ?? 0)) : undefined
    if (same) {
      same.again.push(line.first)
      continue
    }
    if (kind !== 'readings') moved = null
    list.push(line)
    if (kind === 'said' || kind === 'alarm') prompts.push(line)
  }
  return list.reverse()
}

/** Fewer lines of this kind beside each other stand by themselves. */
const GROUP_LEAST = 3

/** Places of the lines that are read one by one; what only passes by, where much of it stands together, as one. */
export function grouped(lines: readonly Line[], passes: (line: Line) => boolean): number[][] {
  const groups: number[][] = []
  let run: number[] = []
  const close = (): void => {
    groups.push(...(run.length < GROUP_LEAST ? run.map((i) => [i]) : [run]))
    run = []
  }
  for (const [i, line] of lines.entries()) {
    if (passes(line)) run.push(i)
    else { close(); groups.push([i]) }
  }
  close()
  return groups
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
