import { describe, expect, it } from 'vitest'
import type { LogEntry } from '../types'
import { grouped, jarOf, joined, linesOf } from './log'
import { likelier, sure } from './unlikely'

const entry = (number: number, part: Partial<LogEntry> = {}): LogEntry => ({ entry: number, time_s: number, stored_ms: number, kind: 'action', words: `act ${number}`, note: '', withdrawn_by: null, corrected_by: null, can: { undo: true, correct: true }, ...part })

describe('the log', () => {
  it('a take-off corrected an hour later stands struck through with the correction beside it, once', () => {
    const lines = linesOf([entry(9, { words: 'Take-off changed to 11 mL/min' }), entry(8, { kind: 'amended' }), entry(5), entry(3, { words: 'Take-off changed to 110 mL/min', corrected_by: 9 })])
    expect(lines.map(({ first, last, corrected }) => [first.words, last.words, corrected])).toEqual([['act 5', 'act 5', false], ['Take-off changed to 110 mL/min', 'Take-off changed to 11 mL/min', true]])
  })
  it('a correction of a correction tells the last, and one taken back is struck through', () => {
    const lines = linesOf([entry(9, { kind: 'amended' }), entry(7, { withdrawn_by: 9 }), entry(6, { kind: 'amended' }), entry(5, { corrected_by: 7 }), entry(4, { kind: 'amended' }), entry(3, { corrected_by: 5 })])
    expect(lines.map(({ first, last, withdrawn }) => [first.entry, last.entry, withdrawn?.entry])).toEqual([[3, 7, 9]])
  })
  it('a chain that points back ends', () => {
    expect(linesOf([entry(5, { corrected_by: 5 }), entry(4, { corrected_by: 3 }), entry(3, { corrected_by: 4 })])).toHaveLength(0)
  })
  it('is put together from parts without a line twice', () => {
    expect(joined([entry(9), entry(8)], [entry(8), entry(7)]).map((one) => one.entry)).toEqual([9, 8, 7])
    expect(joined([], [entry(2)]).map((one) => one.entry)).toEqual([2])
  })
  it('a step that was begun is one line, by its name in the plan', () => {
    const press = entry(10, { kind: 'step', time_s: null, words: 'Step 6 of the plan begun' })
    const act = (number: number) => entry(number, { kind: 'step', time_s: 900, words: 'Step begun: hearts' })
    const event = entry(20, { kind: 'begins', time_s: 900, words: 'Step 6 of 8 begins: slow hearts.' })
    expect(linesOf([event, act(12), entry(11), press]).map(({ first }) => [first.entry, first.words])).toEqual([[11, 'act 11'], [10, 'Step 6 of 8 begins: slow hearts.']])
    expect(linesOf([event, act(12)]).map(({ first, last }) => [first.entry, last.words])).toEqual([[12, 'Step 6 of 8 begins: slow hearts.']])
    expect(linesOf([{ ...event, time_s: 700 }, act(12)])).toHaveLength(2)
  })
  it('a prompt that was said again, and a forecast that goes on moving, are one line each', () => {
    const prompt = (number: number, time_s: number) => entry(number, { kind: 'said', time_s, words: 'The first vapour is at the head.' })
    const moved = (number: number) => entry(number, { kind: 'moved', words: `First vapour should come ${number} min sooner than was told.` })
    const lines = linesOf([prompt(9, 5000), moved(8), prompt(7, 160), moved(6), entry(5, { kind: 'readings' }), moved(4), prompt(3, 100)])
    expect(lines.map(({ first, again }) => [first.entry, again.map((one) => one.entry)])).toEqual([[9, []], [8, [4, 6]], [5, []], [3, [7]]])
  })
  it('much that only passes by stands together, the rest one by one', () => {
    const lines = linesOf([9, 8, 7, 6, 5, 4, 3].map((number) => entry(number, { kind: [9, 7, 6, 5, 3].includes(number) ? 'readings' : 'action' })))
    expect(grouped(lines, ({ first }) => first.kind === 'readings')).toEqual([[0], [1], [2, 3, 4], [5], [6]])
  })
  it('knows which jar a line is about', () => {
    expect(jarOf(entry(1, { kind: 'jar', words: 'Jar 12: 330 mL, hearts' }))).toBe(12)
    expect(jarOf(entry(1, { kind: 'jar', words: 'A jar holds 350 mL' }))).toBeNull()
  })
})

describe('what is unlikely', () => {
  it('is sent again as it is, or as it was meant', () => {
    const ask = { to: 'actions', body: { action: 'takeoff', value: 110, unit: 'ml_per_min' } } as const
    expect(sure(ask)).toEqual({ to: 'actions', body: { ...ask.body, sure: true } })
    expect(likelier({ what: '110 is ten times the plan; 11?', suggest: 11, field: 'value', ask, words: '' })).toEqual({ to: 'actions', body: { ...ask.body, value: 11 } })
    expect(sure({ to: 'correct', body: { entry: 3, action: { action: 'heater', value: 9000 } } })).toEqual({ to: 'correct', body: { entry: 3, action: { action: 'heater', value: 9000, sure: true } } })
  })
  it('has no likelier form where it is not plain which number is doubted', () => {
    const glass = { to: 'actions', body: { action: 'gauge', value: 99, unit: 'vol_at_20' } } as const
    expect(likelier({ what: '', suggest: 93, field: 'value', ask: glass, words: '' })).toBeNull()
    expect(likelier({ what: '', suggest: 330, field: 'volume_ml', ask: { to: 'jars', body: { jar: 2, volume_ml: 3300 } }, words: '' })).toEqual({ to: 'jars', body: { jar: 2, volume_ml: 330 } })
    expect(likelier({ what: '', suggest: 330, field: null, ask: { to: 'jars', body: { jar: 2, volume_ml: 3300, apparent_vol: 90 } }, words: '' })).toBeNull()
  })
})
