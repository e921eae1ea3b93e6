// What is known about a run, made anew each second: every part of the page reads this and nothing else.
import type { Jar, LiveEvent, StepKind } from './types'

/** The 2.5, 10, 50, 90 and 97.5 % points: the middle, the 80 % band ("4 in 5") and the 95 % band. */
export interface Band { p025: number; p10: number; p50: number; p90: number; p975: number }

export interface Value { at: Band; basis: string; made_at_s: number }

export type State = 'before_heat' | 'heating' | 'equalising' | 'foreshots' | 'heads' | 'hearts' | 'slow_hearts' | 'tails' | 'cooling_down' | 'interrupted' | 'ended'

/** Something still to come: `words` is the whole phrase, `short` what then begins. */
export interface End {
  what: 'first_vapour' | 'filled' | 'step_end' | 'stop' | 'cool'
  step_index: number | null
  words: string
  short: string
  ends_by: string | null
  at: Band
  made_at_s: number
  evidence: 'seen' | 'measured' | 'reckoned' | 'forecast'
  basis: string
  /** Why it is not to be trusted now. */
  unsure: string | null
}

/** What one press may record. */
export type Act =
  | { do: 'begin'; step: number; after: number }
  | { do: 'coolant'; l_per_min: number }
  | { do: 'heater'; watts: number }
  | { do: 'jar'; number: number }
  | { do: 'here' }

export interface Instruction { code: string; text: string; now: boolean; due: Band | null; from: 'seen' | 'forecast' | 'plan'; act: Act | null }

export type Quality = 'good' | 'doubtful' | 'bad' | 'stale' | 'absent'
export interface Channel { name: string; words: string; value: number | null; age_s: number | null; quality: Quality; reason: string | null }

export type KnownJar = Jar & { strength_read: boolean }
export interface Quiet { code: string; until_s: number; reason: string }
export interface Doubt { code: string; words: string; channel: string | null; since_s: number; odds: number; why: string }
/** An answer that the probes cannot give now; `what` is its code. */
export interface Unknown { what: string; words: string; why: string }
export interface Help { action: string; text: string; end_gain: number; litres_gain: number }

export interface Knowledge {
  time_s: number
  /** UTC ms of run time 0; none before heat. */
  started_ms: number | null
  state: State
  step: { index: number; kind: StepKind; name: string; slow: boolean; started_s: number }
  headline: string
  /** In order of time: the sentence tells the first, the strip draws all. */
  ends: End[]
  instruction: Instruction | null
  /** None until this run's plateau is known, and while the head is not read. */
  rise: { kelvin: number; trigger_k: number | null; plateau_c: number } | null
  strength_now: Value | null
  hearts: { litres: Value; pure_alcohol_l: Value; strength: Value | null } | null
  drawn: { litres: Value; pure_alcohol_l: Value } | null
  hearts_to_come_l: Value | null
  jars_to_come: Band | null
  /** Litres of pure alcohol. */
  account: { charged_l: Band; drawn_l: Band; held_l: Band; lost_l: Band; left_l: Band } | null
  charge: { litres: Band; strength_vol: Band }
  takeoff_ml_per_min: Value | null
  heater_w: number | null
  coolant_l_per_min: number | null
  channels: Channel[]
  jars: KnownJar[]
  alarms: LiveEvent[]
  seen: string[]
  prompts: LiveEvent[]
  quiet: Quiet[]
  attendant_left_s: number
  doubts: Doubt[]
  unknown: Unknown[]
  would_help: Help[]
  estimate_made_at_s: number | null
  estimate_fresh: boolean
  end: { time_s: number; ended_by: string; litres_20c: number; pure_alcohol_l: number } | null
}

export const channelOf = (known: Knowledge, name: string): Channel | undefined => known.channels.find((channel) => channel.name === name)

/** A reading that may stand on the page as a number. */
export function readingOf(known: Knowledge, name: string): number | null {
  const channel = channelOf(known, name)
  return channel && (channel.quality === 'good' || channel.quality === 'doubtful') ? channel.value : null
}

/** Why an answer cannot be given now, or nothing. */
export const unknownOf = (known: Knowledge, what: string): Unknown | undefined => known.unknown.find((item) => item.what === what)

/** Whether the run goes on: its time must grow. */
export const isOn = (known: Knowledge): boolean => known.state !== 'before_heat' && known.state !== 'ended'
