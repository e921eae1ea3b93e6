// The words of the run: a time with its range on the run's own clock, what is due, what a key records.
import { doubtOf, type Act, type Band, type Knowledge, type State } from '../knowledge'
import { beginWords } from '../plan/steps'
import type { RunActionRow, RunPlan } from '../types'
import { clock, duration } from '../units'

/** The clock of a run: without a start (before heat) times are told from heater on. */
export interface Clockwork { startedMs: number | null; zoneOffsetMinutes: number }

export const clockOf = (run: { startedMs: number | null; snapshot: { zone_offset_minutes: number } | null }): Clockwork => ({ startedMs: run.startedMs, zoneOffsetMinutes: run.snapshot?.zone_offset_minutes ?? 0 })

/** An instant of the run: "14:35", before heat "33 min". */
export const tellTime = (seconds: number, at: Clockwork): string => (at.startedMs === null ? duration(seconds) : clock(seconds, at.startedMs, at.zoneOffsetMinutes))

/** How a range is told everywhere: 80 % of what may be. */
export const FOUR_IN_FIVE = '4 in 5'

/** A sentence with a believed time and its range, in parts so that the time can stand on a lens. */
export interface TimeSentence { words: string; likely: string; earliest: string; latest: string; narrow: boolean; after: string }

/** "Fast hearts should end about 14:35; between 14:28 and 14:44 (4 in 5)." Of the first end to come; none where it cannot be told. */
export function endSentence(known: Knowledge, at: Clockwork): TimeSentence | null {
  const end = known.ends[0]
  if (!end || doubtOf(known, end) !== null || known.state === 'ended') return null
  const [earliest, likely, latest] = [end.at.p10, end.at.p50, end.at.p90].map((seconds) => tellTime(seconds, at)) as [string, string, string]
  return { words: `${end.words} about`, likely, earliest, latest, narrow: earliest === latest, after: at.startedMs === null ? ' from heater on' : '' }
}

/** What is said where the first end cannot be told, or is not to be had at all: "When the hearts end cannot be told now." */
export function untoldSentence(known: Knowledge): string | null {
  const end = known.ends[0]
  const untold = end ? doubtOf(known, end) !== null : known.unknown.some(({ what }) => what === 'end')
  if (!untold || known.state === 'ended') return null
  return `When ${!end || end.step_index === known.step.index ? stepWords(known) : `${end.short} comes`} cannot be told now.`
}
const stepWords = ({ step }: Knowledge): string => `${step.slow ? 'slow ' : step.kind === 'hearts' ? 'the ' : ''}${step.kind} ${step.kind.endsWith('s') ? 'end' : 'ends'}`

/** A number does not part from its unit, nor a jar from its number. */
export const unbroken = (text: string): string => text
  .replace(/(\d) (?=(?:[kM]?W|m?L|min|s|h|K|%|k?g|hPa|°[CF])(?![A-Za-z]))/g, '$1\u00a0').replace(/(\d\u00a0h) (?=\d)/g, '$1\u00a0').replace(/% vol\b/g, '%\u00a0vol').replace(/\b(ratio|[Jj]ar|stage|[Ss]tep) (?=\d)/g, '$1\u00a0')

/** The first letter large, a full stop at the end, numbers beside their units. */
export function asSentence(text: string): string {
  const tidy = unbroken(text.trim())
  if (!tidy) return ''
  const large = tidy.charAt(0).toUpperCase() + tidy.slice(1)
  return /[.!?]$/.test(large) ? large : `${large}.`
}

/** A range of times shorter than this is told as one time, s. */
const NARROW_S = 120

/** What is due: what to do now, else what comes next with its time and range. */
export function dueSentence(known: Knowledge, at: Clockwork): string {
  const due = known.instruction
  if (!due) return ''
  if (due.now) return asSentence(due.text)
  const text = unbroken(due.text.trim()).replace(/[.\s]+$/, '')
  return `Next: ${text}${due.due && at.startedMs !== null ? `, ${whenWords(due.due, known.time_s, at)}` : ''}.`
}

function whenWords(due: Band, now: number, at: Clockwork): string {
  const soon = due.p90 - now < 3600
  if (due.p90 - due.p10 > NARROW_S) return `between ${tellTime(due.p10, at)} and ${tellTime(due.p90, at)}`
  return soon ? `in ${duration(due.p50 - now)}` : `at ${tellTime(due.p50, at)}`
}

/** "Off since 13:20, 38 min ago.": when a person recorded it; nothing where nobody did. */
export function stoppedWords(actions: readonly Pick<RunActionRow, 'action' | 'value' | 'time_s'>[], known: Pick<Knowledge, 'time_s'>, at: Clockwork): string {
  const last = actions.filter(({ action, time_s }) => action === 'heater' && time_s <= known.time_s).sort((a, b) => b.time_s - a.time_s)[0]
  return last && !((last.value ?? 0) > 0) ? `Off since ${tellTime(last.time_s, at)}, ${duration(known.time_s - last.time_s)} ago.` : ''
}

/** What the key beside the instruction says that it records. */
export function actWords(act: Act, plan: RunPlan): string {
  switch (act.do) {
    case 'begin': return beginWords(plan, act.step)
    case 'coolant': return act.l_per_min > 0 ? 'Coolant is on' : 'Coolant is off'
    case 'heater': return act.watts > 0 ? 'Heater is on' : 'Heat is off'
    case 'jar': return 'New jar'
    case 'here': return 'Still here'
  }
}

export const STATE_NAMES: Record<State, string> = {
  before_heat: 'Not heating', heating: 'Heating', equalising: 'Equalising', foreshots: 'Foreshots', heads: 'Heads',
  hearts: 'Hearts', slow_hearts: 'Slow hearts', tails: 'Tails', cooling_down: 'Cooling', interrupted: 'Stopped', ended: 'Ended',
}
