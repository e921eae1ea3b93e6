// What the page makes of an outlook: whether it is live, its words, the shapes of its fans.
import type { Fault, Help, Outlook, Quantiles, Untrusted } from '../estimate'
import type { Advice, RunPlan } from '../types'
import { clock, duration } from '../units'
import type { Mark } from './strip'
import { isSlow, type Clockwork, type TimeSentence } from './sentence'
import type { Fan } from './warp'

/** An outlook is made once a minute of run time; after this it is old and no longer drawn as live, s. */
export const OLD_AFTER_S = 180

/** The outlook that rides on the advice, if the server sends one. */
export const outlookOf = (advice: Advice): Outlook | null => advice.outlook ?? null

/** The outlook without what is over: it may be a minute older than the step that runs. */
export function stillAhead(outlook: Outlook, advice: Advice, plan: RunPlan): Outlook {
  const heartsOver = plan.step.findLastIndex((step) => step.do === 'hearts') < advice.step_index
  return heartsOver ? { ...outlook, plan_end: null, step_end_s: null, litres_to_come: null, jars_needed: null, strength_so_far: null } : outlook
}

/** The end of the hearts step that runs; none from an outlook that was made before that step began. */
const runningEnd = (outlook: Outlook, advice: Advice): Quantiles | null =>
  advice.step === 'hearts' && outlook.made_at_s >= advice.step_started_s ? outlook.step_end_s : null

export const isOld = (outlook: Outlook, now: number): boolean => now - outlook.made_at_s > OLD_AFTER_S

/** The outlook, only while it may be shown as live. */
export function liveOutlook(advice: Advice): Outlook | null {
  const outlook = outlookOf(advice)
  return outlook && advice.state !== 'ended' && !isOld(outlook, advice.time_s) ? outlook : null
}

/** Why an answer is not to be trusted now, or null. */
export const doubt = (outlook: Outlook, answer: string): string | null => outlook.untrusted.find((item) => item.answer === answer)?.why ?? null

const DRAWING = ['foreshots', 'heads', 'hearts', 'slow_hearts']

/** What the sentence is about: the running fast part of the hearts, or all of them. */
export function heartsEnd(outlook: Outlook, advice: Advice, plan: RunPlan): { words: string; at: Quantiles } | null {
  if (!DRAWING.includes(advice.state)) return null
  const fast = advice.step === 'hearts' && isSlow(plan, advice.step_index + 1) ? runningEnd(outlook, advice) : null
  const at = fast ?? outlook.plan_end?.time_s ?? null
  if (!at || at.p975 <= advice.time_s) return null
  return { words: fast ? 'Fast hearts should end about' : 'Hearts should end about', at }
}

/** "Hearts should end about 15:40; between 15:10 and 16:05 (8 in 10)." None where it cannot be said. */
export function heartsSentence(outlook: Outlook, advice: Advice, plan: RunPlan, on: Clockwork): TimeSentence | null {
  if (advice.step !== 'hearts' || doubt(outlook, 'end') !== null) return null
  const end = heartsEnd(outlook, advice, plan)
  if (!end) return null
  const tell = (seconds: number): string => clock(Math.max(seconds, advice.time_s), on.startedMs, on.zoneOffsetMinutes)
  const [earliest, latest] = [tell(end.at.p10), tell(end.at.p90)]
  return { words: end.words, likely: tell(end.at.p50), earliest, latest, narrow: earliest === latest }
}

const LAST = { hearts: (plan: RunPlan): number => plan.step.findLastIndex((step) => step.do === 'hearts'), stop: (plan: RunPlan): number => plan.step.findLastIndex((step) => step.do !== 'stop') }

/** The outlook's own band for the end of a step, if it speaks of that one. */
function bandsOf(index: number, outlook: Outlook, advice: Advice, plan: RunPlan): Quantiles | null {
  if (index === LAST.hearts(plan)) return outlook.plan_end?.time_s ?? null
  if (index === advice.step_index && advice.step === 'hearts') return runningEnd(outlook, advice)
  return index === LAST.stop(plan) ? outlook.stop_s : null
}

/**
 * The advice with the outlook's ends in place of the engine's, so that one drawing gives one answer. A part of the hearts of which the
 * outlook says nothing keeps its share of the time until the next end that it does speak of; ends never run backwards.
 */
export function agreed(outlook: Outlook | null, advice: Advice, plan: RunPlan): Advice {
  if (!outlook) return advice
  const now = advice.time_s
  const told = advice.boundaries.map((bound) => (bound.step_index < advice.step_index ? null : bandsOf(bound.step_index, outlook, advice, plan)))
  let before = now
  const boundaries = advice.boundaries.map((bound, i) => {
    const bands = told[i]
    const next = bound.step === 'hearts' && !bands ? told.findIndex((of, k) => k > i && of) : -1
    const share = next < 0 ? 1 : Math.max((told[next]?.p50 ?? now) - now, 0) / Math.max((advice.boundaries[next]?.likely_s ?? now) - now, 1)
    const placed = (own: number, from: number | undefined): number => Math.max(from ?? (own > now ? now + (own - now) * share : own), before)
    if (bound.step_index < advice.step_index || bound.likely_s <= now) return bound
    const end = { ...bound, earliest_s: placed(bound.earliest_s, bands?.p10), likely_s: placed(bound.likely_s, bands?.p50), latest_s: placed(bound.latest_s, bands?.p90) }
    before = end.likely_s
    return { ...end, earliest_s: Math.min(bands?.p10 ?? end.earliest_s, end.likely_s) }
  })
  return { ...advice, boundaries }
}

/** Marks of the ribbon with the outlook's own bands in place of the plan's. */
export function withOutlook(marks: Mark[], outlook: Outlook | null, advice: Advice, plan: RunPlan): Mark[] {
  if (!outlook) return marks
  const unsure = doubt(outlook, 'end') !== null
  return marks.map((mark) => {
    const bands = mark.index === undefined ? null : bandsOf(mark.index, outlook, advice, plan)
    if (!bands) return mark
    return { ...mark, earliest: bands.p10, likely: bands.p50, latest: bands.p90, widest: [bands.p025, bands.p975], unsure }
  })
}

const LEVELS = ['p025', 'p10', 'p50', 'p90', 'p975'] as const

/**
 * Litres collected from now to the end of the hearts: each quantile rises to its own end and stays there; the bands are what lies
 * between. Never below what is already in the jars.
 */
export function collectedFan(outlook: Outlook, now: number, level: number, to: number, count = 60): Fan | null {
  const ends = outlook.plan_end?.time_s
  const come = outlook.litres_to_come
  if (!ends || !come || ends.p975 <= now) return null
  const last = Math.min(Math.max(ends.p975, now + 60), to)
  if (last <= now) return null
  const fan: Fan = { times: [], likely: [], low: [], high: [], low95: [], high95: [] }
  const courses = LEVELS.map((name) => ({ end: Math.max(ends[name], now + 1), litres: Math.max(come[name], 0) }))
  for (let i = 0; i <= count; i += 1) {
    const at = now + ((last - now) * i) / count
    const [a = 0, b = 0, middle = 0, d = 0, e = 0] = courses.map(({ end, litres }) => level + litres * Math.min((at - now) / (end - now), 1))
    fan.times.push(at)
    fan.likely.push(middle)
    fan.low.push(Math.min(b, middle, d))
    fan.high.push(Math.max(b, middle, d))
    fan.low95.push(Math.min(a, b, middle, d, e))
    fan.high95.push(Math.max(a, b, middle, d, e))
  }
  return fan
}

/** A reason, as a sentence of its own. */
export const asSentence = (text: string): string => {
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
}

/** "Time the take-off: the range of the end should narrow by about a third." The larger of the two gains is named. */
export function helpWords(help: Help): { what: string; how: string; gain: string } {
  const end = help.end_gain >= help.litres_gain
  const text = help.text.replace(/[.\s]+$/, '')
  const how = text.charAt(0).toUpperCase() + text.slice(1)
  return { what: HELPS[help.action] ?? how, how, gain: `the range of ${end ? 'the end' : 'the litres'} should narrow ${shareWords(Math.max(help.end_gain, help.litres_gain))}` }
}

/** Helps that are worth a person's walk, best first. */
export function worthwhile(outlook: Outlook): Help[] {
  return outlook.would_help.filter((help) => Math.max(help.end_gain, help.litres_gain) >= 0.04).slice(0, 6)
}

const KINDS: Record<string, string> = {
  stuck_head: 'The head thermometer stands still', stuck_pot: 'The pot thermometer stands still', spikes: 'Single readings jump', dropouts: 'Readings drop out',
  drift: 'The head thermometer drifts', swapped: 'Head and pot thermometer seem exchanged', wrong_strength: 'The charge is not as strong as stated',
  coolant_loss: 'The coolant failed for a while', element_failing: 'The heater gives less than it should', head_offset: 'The head thermometer reads off by a constant',
}
const CHANNELS: Record<string, string> = {
  head_c: 'head', pot_c: 'pot', coolant_l_per_min: 'coolant flow', coolant_out_c: 'coolant outlet', coolant_in_c: 'coolant inlet', heater_w: 'heater', pressure_hpa: 'barometer',
  ambient_c: 'room', product_c: 'spirit', charge: 'charge', heater: 'heater', coolant: 'coolant',
}
export const channelName = (channel: string): string => CHANNELS[channel] ?? channel.replaceAll('_', ' ')

/** How sure, in tenths a person can picture. */
export function odds(probability: number): string {
  const tenths = Math.round(probability * 10)
  if (tenths >= 10) return 'all but certain'
  if (tenths <= 0) return 'hardly likely'
  return `${tenths} in 10`
}

export function faultWords(fault: Fault, on: Clockwork): { what: string; where: string; why: string } {
  const kind = KINDS[fault.kind] ?? fault.kind.replaceAll('_', ' ')
  return { what: kind, where: `${channelName(fault.channel)}, since ${clock(fault.since_s, on.startedMs, on.zoneOffsetMinutes)}, ${odds(fault.probability)}`, why: asSentence(fault.why) }
}

const ANSWERS: Record<string, string> = {
  end: 'When the hearts end', litres: 'How much is still to come', strength: 'The strength', charge: 'What the charge holds', rise: 'The rise over the plateau', pot: 'What is left in the pot',
}

/** Answers that suffer from the same thing are told together: "When the hearts end and the strength cannot be trusted now." */
export function doubtWords(untrusted: readonly Untrusted[]): { what: string; why: string }[] {
  const reasons = [...new Set(untrusted.map((item) => item.why))]
  return reasons.map((why) => {
    const names = untrusted.filter((item) => item.why === why).map(({ answer }, i) => {
      const name = ANSWERS[answer] ?? answer.replaceAll('_', ' ')
      return i ? name.charAt(0).toLowerCase() + name.slice(1) : name
    })
    const all = names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names[names.length - 1]}`
    return { what: `${all} cannot be trusted now`, why: asSentence(why) }
  })
}

/** How old an outlook is, for one that is no longer live. */
export const ageWords = (outlook: Outlook, now: number): string => duration(now - outlook.made_at_s)

/** Jars to draw: surely needed, perhaps needed. */
export function jarCounts(needed: Quantiles): { sure: number; likely: number; most: number } {
  const whole = (value: number): number => Math.min(Math.max(Math.round(value), 0), 40)
  return { sure: whole(needed.p10), likely: whole(needed.p50), most: whole(needed.p90) }
}
