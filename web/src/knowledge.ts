// What is known about a run, made anew each second by the program: every part of the page reads this and nothing else.
import type { components } from './api'
import type { Answer } from './types'

type Schema = components['schemas']

export type Knowledge = Answer<Schema['KnowledgeWire']>
/** The 2.5, 10, 50, 90 and 97.5 % points: the middle, the 80 % band ("4 in 5") and the 95 % band. */
export type Band = Schema['BandWire']
export type Value = Knowledge['strength_now'] & object
export type State = Knowledge['state']
/** Something still to come: `words` is the whole phrase, `short` what then begins, `unsure` why it is not to be trusted now. */
export type End = Knowledge['ends'][number]
export type Instruction = Knowledge['instruction'] & object
/** What one press may record. */
export type Act = Schema['ActWire']
export type Channel = Knowledge['channels'][number]
export type Quiet = Knowledge['quiet'][number]
export type AlarmNow = Knowledge['alarm_list'][number]
export type Doubt = Knowledge['doubts'][number]
/** An answer that cannot be given now; `what` is its code. */
export type Unknown = Knowledge['unknown'][number]
export type Help = Knowledge['would_help'][number]

export const channelOf = (known: Knowledge, name: string): Channel | undefined => known.channels.find((channel) => channel.name === name)

/** A reading that may stand on the page as a number. */
export function readingOf(known: Knowledge, name: string): number | null {
  const channel = channelOf(known, name)
  return channel && (channel.quality === 'good' || channel.quality === 'doubtful') ? channel.value : null
}

/** Why an answer cannot be given now, or nothing. */
export const unknownOf = (known: Knowledge, what: string): Unknown | undefined => known.unknown.find((item) => item.what === what)

/** Why a moment to come is not to be trusted now: its own reason, or that the end of the hearts, on which it hangs, is unknown. */
export const doubtOf = (known: Knowledge, end: End): string | null =>
  end.unsure ?? (end.what === 'step_end' || end.what === 'stop' ? (unknownOf(known, 'end')?.why ?? null) : null)

/** Whether the run goes on: its time must grow. */
export const isOn = (known: Knowledge): boolean => known.state !== 'before_heat' && known.state !== 'ended'
