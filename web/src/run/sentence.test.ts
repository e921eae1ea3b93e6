import { describe, expect, it } from 'vitest'
import type { Instruction } from '../knowledge'
import { beginWords, endName } from '../plan/steps'
import { around, end, known, plan, STARTED_MS } from '../testing'
import { actWords, asSentence, clockOf, dueSentence, endSentence, stoppedWords, tellTime, untoldSentence } from './sentence'

const at = { startedMs: STARTED_MS, zoneOffsetMinutes: 120 }
const due = (part: Partial<Instruction>): Instruction => ({ code: 'x', text: 'get jar 9 ready', now: false, due: null, from: 'forecast', act: null, ...part })

describe('the sentence', () => {
  it('tells the first end with its range on the run\'s clock', () => {
    expect(endSentence(known({ ends: [end(3, 6000, 600), end(4, 9000, 100)] }), at)).toEqual({ words: 'Hearts should end about', likely: '09:52', earliest: '09:42', latest: '10:02', narrow: false, after: '' })
  })
  it('says nothing of what is not there, and of what cannot be told only that', () => {
    expect(endSentence(known({ ends: [] }), at)).toBeNull()
    const unsure = known({ ends: [end(3, 6000, 600, { unsure: 'The head drifts.' })] })
    expect(endSentence(unsure, at)).toBeNull()
    expect(untoldSentence(unsure)).toBe('When the hearts end cannot be told now.')
    expect(untoldSentence(known({ ends: [end(3, 6000, 600)] }))).toBeNull()
    const lost = known({ ends: [end(3, 6000, 600)], unknown: [{ what: 'end', words: 'When the hearts end', why: 'the head is not read any more' }] })
    expect([endSentence(lost, at), untoldSentence(lost)]).toEqual([null, 'When the hearts end cannot be told now.'])
    expect(untoldSentence(known({ ...lost, ends: [] }))).toBe('When the hearts end cannot be told now.')
    expect(untoldSentence(known({ ends: [] }))).toBeNull()
  })
  it('before heat counts from heater on, not on a clock', () => {
    const waiting = known({ state: 'before_heat', time_s: 0, ends: [end(null, 1980, 180, { words: 'First vapour should come', what: 'first_vapour' })] })
    const told = endSentence(waiting, clockOf({ startedMs: null, snapshot: { zone_offset_minutes: 120 } }))
    expect([told?.likely, told?.after]).toEqual(['33\u00a0min', ' from heater on'])
  })
  it('regress_ tells the clock by the start that travels with the message, after twenty minutes at the check list', () => {
    expect(tellTime(600, clockOf({ startedMs: STARTED_MS + 20 * 60_000, snapshot: { zone_offset_minutes: 120 } }))).toBe('08:42')
  })
  it('says what is next and when with its range', () => {
    expect(dueSentence(known({ instruction: due({ due: around(4240, 0) }) }), at)).toBe('Next: get jar\u00a09 ready, in 4\u00a0min.')
    expect(dueSentence(known({ instruction: due({ text: 'begin the tails.', due: around(9000, 300) }) }), at)).toBe('Next: begin the tails, between 10:37 and 10:47.')
    expect(dueSentence(known({ instruction: due({}) }), at)).toBe('Next: get jar\u00a09 ready.')
    expect(dueSentence(known({ instruction: due({ text: 'The heads are drawn. Begin the hearts', now: true }) }), at)).toBe('The heads are drawn. Begin the hearts.')
    expect(dueSentence(known({ instruction: null }), at)).toBe('')
  })
})

describe('the key beside the instruction', () => {
  it('keeps a number beside its unit and a jar beside its number', () => {
    expect(asSentence('bring the heater to 1800 W, reflux ratio 9, jar 2 of 350 mL at 94.3 % vol in 4 min')).toBe('Bring the heater to 1800\u00a0W, reflux ratio\u00a09, jar\u00a02 of 350\u00a0mL at 94.3\u00a0%\u00a0vol in 4\u00a0min.')
    expect(asSentence('about 5 h 18 min, then 20 min')).toBe('About 5\u00a0h\u00a018\u00a0min, then 20\u00a0min.')
    expect(asSentence('2 hearts in 3 months')).toBe('2 hearts in 3 months.')
  })
  it('says what the press records', () => {
    expect(actWords({ do: 'begin', step: 3, after: 2 }, plan)).toBe('Begin hearts')
    expect(actWords({ do: 'begin', step: 4, after: 3 }, plan)).toBe('Begin slow hearts')
    expect(actWords({ do: 'begin', step: 6, after: 5 }, plan)).toBe('Heat is off')
    expect(actWords({ do: 'coolant', l_per_min: 1.8 }, plan)).toBe('Coolant is on')
    expect(actWords({ do: 'coolant', l_per_min: 0 }, plan)).toBe('Coolant is off')
    expect(actWords({ do: 'jar', number: 3 }, plan)).toBe('New jar')
  })
})

describe('steps', () => {
  it('are named by what a person begins, and their ends by what then begins', () => {
    expect(beginWords(plan, 1)).toBe('Begin equalising')
    expect(beginWords(plan, 99)).toBe('')
    expect([0, 1, 2, 3, 4, 5].map((i) => endName(plan, i))).toEqual(['filled', 'steady', 'hearts begin', 'slow hearts', 'tails begin', 'stop'])
  })
})

it('says since when the heat is off, by what a person recorded, and nothing where nobody did', () => {
  const heat = (time_s: number, value: number | null) => ({ action: 'heater', value, time_s })
  expect(stoppedWords([heat(0, 2000), heat(3600, 0), { action: 'jar', value: 2, time_s: 3700 }], { time_s: 5880 }, at)).toBe('Off since 09:12, 38\u00a0min ago.')
  expect(stoppedWords([heat(0, 2000)], { time_s: 5880 }, at)).toBe('')
  expect(stoppedWords([heat(3600, 0), heat(4000, 1500)], { time_s: 5880 }, at)).toBe('')
})
