// Alarms in words: how each stands, what is held back, what came of a test.
import type { AlarmOutputs, AlarmReview } from '../types'
import type { AlarmNow, Knowledge } from '../knowledge'
import { duration } from '../units'
import { plain } from './said'
import { tellTime, type Clockwork } from './sentence'

const STATE: Record<AlarmNow['state'], string> = {
  active_unseen: 'there, not seen yet: it sounds',
  active_seen: 'there, seen',
  cleared_unseen: 'its cause is gone, not seen yet',
  cleared_seen: 'its cause is gone, to be reset',
  quiet: 'quiet',
}

/** How an alarm stands: state, since when, what it follows from, whether it is a nuisance. */
export function alarmLine(alarm: AlarmNow, known: Pick<Knowledge, 'quiet' | 'alarm_list'>, at: Clockwork): string {
  const quiet = alarm.state === 'quiet' ? known.quiet.find(({ code }) => code === alarm.code) : undefined
  const state = quiet ? `quiet until ${tellTime(quiet.until_s, at)}${quiet.reason ? `: ${quiet.reason}` : ''}` : STATE[alarm.state]
  const first = alarm.follows === null ? null : (known.alarm_list.find(({ code }) => code === alarm.follows)?.words ?? plain(alarm.follows))
  return [`${alarm.priority}, since ${tellTime(alarm.raised_s, at)}: ${state}`, first && `follows from ${first}`, alarm.chatters && 'comes again and again', alarm.stands_long && 'stands long'].filter(Boolean).join('; ') + '.'
}

/** What was made quiet without an alarm that stands: it will not be heard when it comes. */
export const quietOnly = (known: Pick<Knowledge, 'quiet' | 'alarm_list'>): Knowledge['quiet'] => known.quiet.filter(({ code }) => !known.alarm_list.some((alarm) => alarm.code === code))

/** Alarms that are held back for one reason, together. */
export function heldBack(suppressed: Knowledge['suppressed']): { because: string; words: string[] }[] {
  const groups = new Map<string, string[]>()
  for (const { words, because } of suppressed) groups.set(because, [...(groups.get(because) ?? []), words])
  return [...groups].map(([because, words]) => ({ because, words }))
}

const OUTPUT: Record<string, string> = { command: 'the command', bell: 'the bell of the terminal', second_person: 'the second person' }
export const outputWords = (output: string): string => OUTPUT[output] ?? plain(output)

/** What came of one output, in words. */
export const outcome = ({ set, failed }: AlarmOutputs['last'][number]): string => (!set ? 'not set' : failed ? `failed: ${failed}` : 'told')

/** The alarms of a run in one sentence. */
export function reviewSentence(review: AlarmReview): string {
  const { alarms, per_hour, run_s, second_person } = review
  if (!alarms) return `No alarm in ${duration(run_s)}.`
  const rate = per_hour >= 0.95 ? per_hour.toFixed(0) : per_hour.toFixed(1)
  return `${alarms === 1 ? 'One alarm' : `${alarms} alarms`} in ${duration(run_s)}${run_s < 3600 ? '' : `, ${rate} an hour`}.${second_person ? ` The second person was to be called ${second_person === 1 ? 'once' : `${second_person} times`}.` : ''}`
}
