// Makes Knowledge of the advice and outlook that the server sends today. The only reader of both.
import type { Outlook } from './estimate'
import type { Act, Band, Channel, End, Instruction, Knowledge, Unknown, Value } from './knowledge'
import { beginWords, endName, isSlow, stepName } from './plan/steps'
import type { Advice, Boundary, LiveEvent, RunPlan } from './types'

/** An estimate is made once a minute of run time; after this it is not used, s. */
const OLD_AFTER_S = 180
/** How much wider the 95 % band is than the 80 % band, where only one of them is known (judgement). */
const WIDER = 1.53
type Given = Pick<Boundary, 'earliest_s' | 'likely_s' | 'latest_s'>

const LEVELS = ['p025', 'p10', 'p50', 'p90', 'p975'] as const
const each = (of: Band, change: (value: number) => number): Band => Object.fromEntries(LEVELS.map((level) => [level, change(of[level])])) as unknown as Band
const bandOf = (low: number, middle: number, high: number): Band =>
  ({ p025: middle - WIDER * (middle - low), p10: low, p50: middle, p90: high, p975: middle + WIDER * (high - middle) })
const exactly = (value: number): Band => bandOf(value, value, value)

export function knowledgeOf(advice: Advice, plan: RunPlan, startedMs: number | null): Knowledge {
  const now = advice.time_s
  const made = advice.state === 'ended' ? null : advice.outlook
  const outlook = made && now - made.made_at_s <= OLD_AFTER_S ? made : null
  const channels = advice.channels.map(channelWords)
  const headGone = channels.some((channel) => channel.name === 'head_c' && (channel.quality === 'stale' || channel.quality === 'bad')) && !COLD.has(advice.state)
  const unknown = unknownNow(advice, outlook, headGone)
  const trusted = (what: string): boolean => !unknown.some((item) => item.what === what)
  const value = (at: Band | null | undefined, basis: string, made_at_s: number): Value | null => (at ? { at, basis, made_at_s } : null)
  const told = (of: Advice['litres']): Value | null =>
    of ? value({ p025: of.low, p10: of.value - (of.value - of.low) / WIDER, p50: of.value, p90: of.value + (of.high - of.value) / WIDER, p975: of.high }, of.basis, now) : null
  const headRead = channels.some((channel) => channel.name === 'head_c' && (channel.quality === 'good' || channel.quality === 'doubtful'))
  const heartsOver = plan.step.findLastIndex((step) => step.do === 'hearts') < advice.step_index
  const hot = advice.state !== 'cooling_down' && advice.state !== 'ended'
  const slow = isSlow(plan, advice.step_index)
  const litres = told(advice.litres)
  const pure = told(advice.pure_alcohol_l)
  const strengthOfNow = outlook && advice.step === 'hearts' && outlook.made_at_s >= advice.step_started_s ? value(outlook.strength_now, 'all measurements', outlook.made_at_s) : told(advice.strength_now)
  return {
    time_s: now, started_ms: startedMs, state: advice.state, headline: advice.headline,
    step: { index: advice.step_index, kind: advice.step, name: stepName(advice.step, slow), slow, started_s: advice.step_started_s },
    ends: endsOf(advice, outlook, plan, headGone ? HEAD_GONE : null), instruction: instructionOf(advice, plan),
    rise: headRead && hot && trusted('rise') && advice.rise_k !== null && advice.plateau_c !== null && !advice.plateau_provisional
      ? { kelvin: advice.rise_k, trigger_k: advice.trigger_rise_k, plateau_c: advice.plateau_c } : null,
    strength_now: hot && trusted('strength') && (headRead || headAbsent(channels)) ? strengthOfNow : null,
    hearts: heartsOf(advice, told), drawn: litres && pure ? { litres, pure_alcohol_l: pure } : null,
    hearts_to_come_l: outlook && !heartsOver && trusted('litres') && trusted('end') ? value(outlook.litres_to_come, 'all measurements', outlook.made_at_s) : null,
    jars_to_come: outlook && !heartsOver && trusted('litres') && trusted('end') ? outlook.jars_needed : null,
    account: accountOf(advice, outlook, plan),
    charge: { litres: outlook?.charge_litres ?? exactly(plan.charge.litres), strength_vol: outlook?.charge_strength_vol ?? exactly(plan.charge.strength_vol) },
    takeoff_ml_per_min: told(advice.takeoff_ml_per_min), heater_w: advice.heater_w, coolant_l_per_min: advice.coolant_l_per_min,
    channels, jars: advice.jars.map((jar) => ({ ...jar, strength_read: false })),
    alarms: advice.alarms, seen: advice.seen, prompts: advice.prompts, quiet: advice.quiet, attendant_left_s: advice.attendant_left_s,
    doubts: (outlook?.faults ?? []).map((fault) => ({ code: fault.kind, words: FAULTS[fault.kind] ?? plain(fault.kind), channel: CHANNELS[fault.channel] ?? plain(fault.channel), since_s: fault.since_s, odds: fault.probability, why: fault.why })),
    unknown, would_help: outlook?.would_help ?? [], estimate_made_at_s: made?.made_at_s ?? null, estimate_fresh: outlook !== null, end: advice.end,
  }
}

const plain = (code: string): string => code.replaceAll('_', ' ')
const headAbsent = (channels: Channel[]): boolean => channels.some((channel) => channel.name === 'head_c' && channel.quality === 'absent')

const CHANNELS: Record<string, string> = {
  head_c: 'head', pot_c: 'pot', coolant_l_per_min: 'coolant', coolant_out_c: 'coolant out', coolant_in_c: 'coolant in', heater_w: 'heater', pressure_hpa: 'barometer',
  ambient_c: 'room', vent_c: 'vent', product_c: 'spirit', charge: 'charge', heater: 'heater', coolant: 'coolant',
}
const FAULTS: Record<string, string> = {
  stuck_head: 'The head thermometer stands still', stuck_pot: 'The pot thermometer stands still', spikes: 'Single readings jump', dropouts: 'Readings drop out',
  drift: 'The head thermometer drifts', swapped: 'Head and pot thermometer seem exchanged', wrong_strength: 'The charge is not as strong as stated',
  coolant_loss: 'The coolant failed for a while', element_failing: 'The heater gives less than it should', head_offset: 'The head thermometer reads off by a constant',
}
const ANSWERS: Record<string, string> = {
  end: 'When the hearts end', litres: 'How much is still to come', strength: 'The strength', charge: 'What the charge holds', rise: 'The rise over the plateau', pot: 'What is left in the pot',
}
const QUALITY = { live: 'good', frozen: 'doubtful', impossible: 'bad', stale: 'stale', absent: 'absent' } as const
const REASON = { live: null, frozen: 'has not changed', impossible: 'not possible', stale: 'lost', absent: 'not read' } as const

function channelWords(channel: Advice['channels'][number]): Channel {
  const quality = QUALITY[channel.state]
  const usable = quality === 'good' || quality === 'doubtful'
  return { name: channel.name, words: CHANNELS[channel.name] ?? plain(channel.name), value: usable ? channel.value : null, age_s: channel.age_s, quality, reason: REASON[channel.state] }
}

/** Once vapour came, what is to come hangs on the head: while it is lost nothing is told of it. */
const HEAD_GONE = 'The head thermometer gives no reading.'
const COLD = new Set<Advice['state']>(['before_heat', 'heating', 'cooling_down', 'ended'])

function unknownNow(advice: Advice, outlook: Outlook | null, headGone: boolean): Unknown[] {
  const list = (outlook?.untrusted ?? []).map((item) => ({ what: item.answer, words: ANSWERS[item.answer] ?? plain(item.answer), why: item.why }))
  if (headGone) return ['end', 'litres', 'strength', 'rise'].map((what) => ({ what, words: ANSWERS[what] ?? what, why: HEAD_GONE }))
  return advice.cannot_know ? [...list, { what: 'head', words: advice.cannot_know, why: '' }] : list
}

function heartsOf(advice: Advice, told: (of: Advice['litres']) => Value | null): Knowledge['hearts'] {
  const drawn = advice.jars.filter((jar) => jar.cut === 'hearts' && jar.status !== 'expected').reduce((sum, jar) => sum + jar.volume_ml / 1000, 0)
  if (drawn <= 0) return null
  const strength = told(advice.hearts_strength)
  const value = (litres: number): Value => ({ at: exactly(litres), basis: 'jars', made_at_s: advice.time_s })
  return { litres: value(drawn), pure_alcohol_l: value((drawn * (strength?.at.p50 ?? 0)) / 100), strength }
}

function accountOf(advice: Advice, outlook: Outlook | null, plan: RunPlan): Knowledge['account'] {
  const left = outlook?.pot_alcohol_l ?? (advice.pot_alcohol_l ? bandOf(advice.pot_alcohol_l.low, advice.pot_alcohol_l.value, advice.pot_alcohol_l.high) : null)
  if (!left) return null
  const drawn = advice.pure_alcohol_l?.value ?? 0
  const charged = (plan.charge.litres * plan.charge.strength_vol) / 100
  return { charged_l: exactly(charged), drawn_l: exactly(drawn), held_l: exactly(0), lost_l: exactly(Math.max(charged - drawn - left.p50, 0)), left_l: left }
}

// ---- what is to come

/** The estimate's own band for the end of a step, if it speaks of that one. */
function bandsOf(index: number, outlook: Outlook, advice: Advice, plan: RunPlan): Band | null {
  if (index === plan.step.findLastIndex((step) => step.do === 'hearts')) return outlook.plan_end?.time_s ?? null
  if (index === advice.step_index && advice.step === 'hearts') return outlook.made_at_s >= advice.step_started_s ? outlook.step_end_s : null
  return index === plan.step.findLastIndex((step) => step.do !== 'stop') ? outlook.stop_s : null
}

/**
 * The ends of the plan's steps: the estimate's where it has one. A part of the hearts of which it says nothing keeps its share
 * of the time until the next end that it does speak of; ends never run backwards and none is past.
 */
function endsOf(advice: Advice, outlook: Outlook | null, plan: RunPlan, gone: string | null): End[] {
  if (advice.state === 'ended') return []
  const now = advice.time_s
  const ahead = advice.boundaries.filter((bound) => bound.step_index >= advice.step_index && bound.likely_s > now)
  const own = ahead.map((bound) => (outlook ? bandsOf(bound.step_index, outlook, advice, plan) : null))
  const doubted = outlook?.untrusted.find((item) => item.answer === 'end')?.why ?? null
  let before = now
  const ends = ahead.map((bound, i): End => {
    const next = bound.step === 'hearts' && !own[i] ? own.findIndex((of, k) => k > i && of) : -1
    const share = next < 0 ? 1 : Math.max((own[next]?.p50 ?? now) - now, 0) / Math.max((ahead[next]?.likely_s ?? now) - now, 1)
    const band = own[i] ?? each(given(bound), (at) => now + (at - now) * share)
    const later = Math.max(before - band.p50, 0)
    const at = each(band, (time) => Math.max(time + later, now))
    before = at.p50
    const name = stepName(bound.step, isSlow(plan, bound.step_index))
    const last = bound.step_index === plan.step.findLastIndex((step) => step.do !== 'stop')
    return {
      what: bound.step === 'heat' ? 'filled' : last ? 'stop' : 'step_end', step_index: bound.step_index, words: endWords(plan, bound.step_index, name), short: endName(plan, bound.step_index),
      ends_by: null, at, made_at_s: own[i] ? (outlook?.made_at_s ?? now) : now, evidence: own[i] ? 'measured' : 'forecast', basis: own[i] ? 'all measurements' : 'the forecast', unsure: gone ?? (own[i] ? doubted : null),
    }
  })
  const expected = advice.expectation
  const other = expected?.what === 'first_vapour' ? 'first_vapour' : expected?.what === 'cool' ? 'cool' : null
  if (expected && other && expected.likely_s > now) {
    const [words, short] = other === 'cool' ? ['The head should be cool', 'cool'] : ['First vapour should come', 'first vapour']
    ends.push({ what: other, step_index: null, words, short, ends_by: null, at: each(given(expected), (at) => Math.max(at, now)), made_at_s: now, evidence: 'forecast', basis: expected.basis, unsure: null })
  }
  return ends.filter((end) => end.at.p975 > now).sort((a, b) => a.at.p50 - b.at.p50)
}
const given = (of: Given): Band => bandOf(of.earliest_s, of.likely_s, of.latest_s)

const WORDS: Record<string, string> = { heat: 'The stages should be filled', equalise: 'The head should be steady', foreshots: 'The foreshots should be done', heads: 'The heads should be done', tails: 'Tails should end' }
function endWords(plan: RunPlan, index: number, name: string): string {
  if (name === 'hearts') return isSlow(plan, index + 1) ? 'Fast hearts should end' : 'Hearts should end'
  return name === 'slow hearts' ? 'Slow hearts should end' : (WORDS[name] ?? `The ${name} should end`)
}

// ---- what is to be done

/** Prompts that are answered by beginning the next step of the plan. */
const BEGINS = new Set(['first_vapour', 'head_steady', 'foreshots_done', 'heads_done', 'hearts_end_near', 'slow_phase', 'stop'])
const RANK = { low: 0, medium: 1, high: 2, critical: 3 }

/** The prompt a person should answer first, the most urgent, then the newest; else what comes next. */
function instructionOf(advice: Advice, plan: RunPlan): Instruction | null {
  const prompt = [...advice.prompts].sort((a, b) => RANK[b.priority] - RANK[a.priority] || b.time_s - a.time_s)[0]
  if (prompt) return { code: prompt.code, text: [prompt.text, prompt.do].filter(Boolean).join(' '), now: true, due: null, from: 'seen', act: actOf(prompt, advice, plan) }
  const next = advice.next
  if (!next || advice.state === 'ended') return null
  // A time that has passed without its trigger being seen is no reason to act.
  const due = next.due_s !== null && next.due_s > advice.time_s ? exactly(next.due_s) : null
  return { code: next.code, text: next.text, now: false, due, from: due ? 'forecast' : 'plan', act: null }
}

function actOf(prompt: LiveEvent, advice: Advice, plan: RunPlan): Act | null {
  if (prompt.code === 'coolant_on') return { do: 'coolant', l_per_min: plan.site.coolant_l_per_min }
  if (prompt.code === 'coolant_off') return { do: 'coolant', l_per_min: 0 }
  if (prompt.code === 'jar_change') return { do: 'jar', number: advice.jars.reduce((most, jar) => (jar.status === 'expected' ? most : Math.max(most, jar.number)), 0) + 1 }
  if (prompt.code === 'attendant_absent') return { do: 'here' }
  // Said twice under one code: near (only a word), and here (the step is over).
  if (!BEGINS.has(prompt.code) || (prompt.code === 'hearts_end_near' && prompt.priority !== 'high')) return null
  const step = prompt.code === 'stop' ? plan.step.length - 1 : advice.step_index + 1
  return beginWords(plan, step) ? { do: 'begin', step, after: advice.step_index } : null
}
