// Doubts, what nobody can tell now, and what would help: in calm words.
import type { Band, Doubt, Help, Unknown } from '../knowledge'
import { tellTime, type Clockwork } from './sentence'

/** A reason, as a sentence of its own. */
export const asReason = (text: string): string => {
  const bare = text.trim().replace(/[.\s]+$/, '')
  return bare && `${bare.charAt(0).toUpperCase()}${bare.slice(1)}.`
}

const TENTHS = ['not at all', 'by about a tenth', 'by about a fifth', 'by nearly a third', 'by about two fifths', 'by about half', 'by about three fifths', 'by about two thirds', 'by about four fifths', 'almost wholly', 'wholly']

/** A gain in words: rough, because it is rough. */
export function shareWords(share: number): string {
  if (!(share >= 0.04)) return 'hardly'
  if (share < 0.08) return 'a little'
  if (share >= 0.22 && share < 0.29) return 'by about a quarter'
  if (share >= 0.29 && share < 0.37) return 'by about a third'
  return TENTHS[Math.min(Math.round(share * 10), 10)] ?? 'a little'
}

/** Short enough to be read beside the still; how to do it is told in full where one opens it. */
const HELPS: Record<string, string> = {
  gauge_charge: 'Gauge and measure what is left of the charge', time_take_off: 'Time the take-off into a jug', full_take_off: 'Take everything off into a jug for 2 min',
  total_reflux: 'Close the take-off for 30 min', read_pot: 'Read the pot thermometer', enter_pressure: 'Enter the barometer', gauge_jar: 'Gauge the jar that is filling',
  drain_back: 'After this run: measure what drains back',
}

/** "Time the take-off: the range of the end should narrow by about a third." The larger of the two gains is named. */
export function helpWords(help: Help): { what: string; how: string; gain: string } {
  const end = help.end_gain >= help.litres_gain
  const text = help.text.replace(/[.\s]+$/, '')
  const how = text.charAt(0).toUpperCase() + text.slice(1)
  const whose = help.action === 'drain_back' ? "the next run's " : 'the '
  return { what: HELPS[help.action] ?? how, how, gain: `the range of ${whose}${end ? 'end' : 'litres'} should narrow ${shareWords(Math.max(help.end_gain, help.litres_gain))}` }
}

/** Helps that are worth a person's walk, best first. */
export const worthwhile = (helps: readonly Help[]): Help[] => helps.filter((help) => Math.max(help.end_gain, help.litres_gain) >= 0.04).slice(0, 6)

/** "A head thermometer that drifts (since 09:12, 9 in 10)." What is doubted names its own channel. */
export function doubtWords(doubt: Doubt, at: Clockwork): { what: string; where: string; why: string } {
  return { what: `${doubt.words.charAt(0).toUpperCase()}${doubt.words.slice(1)}`, where: `since ${tellTime(doubt.since_s, at)}, ${doubt.odds}`, why: asReason(doubt.why) }
}

/** What no probe can give at this point of a healthy run, said calmly; all else that is unknown is out of order. */
export const isPlain = (item: Unknown, all: readonly Unknown[]): boolean => item.what === 'head' || item.what === 'coolant' || (item.what === 'rise' && !all.some((other) => other !== item && other.why === item.why))

/** Answers that suffer from the same thing are told together: "When the hearts end and the strength cannot be told now." */
export function unknownWords(unknown: readonly Unknown[]): { what: string; why: string }[] {
  const told = unknown.filter((item) => !isPlain(item, unknown))
  return [...new Set(told.map((item) => item.why))].map((why) => {
    const names = told.filter((item) => item.why === why).map(({ words }, i) => (i ? words.charAt(0).toLowerCase() + words.slice(1) : words))
    const all = names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names[names.length - 1]}`
    return { what: `${all} cannot be told now.`, why: asReason(why) }
  })
}

/** "The rise over the plateau: this run's plateau is known after 20 min of hearts, not before." */
export const plainUnknown = (unknown: readonly Unknown[]): string[] => unknown.filter((item) => isPlain(item, unknown)).map((item) => `${item.words}: ${item.why}.`)

/** Jars to draw: surely needed, perhaps needed. */
export function jarCounts(needed: Band): { sure: number; likely: number; most: number } {
  const whole = (value: number): number => Math.min(Math.max(Math.round(value), 0), 40)
  return { sure: whole(needed.p10), likely: whole(needed.p50), most: whole(needed.p90) }
}
