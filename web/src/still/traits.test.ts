import { describe, expect, it } from 'vitest'
import { METRIC } from '../units'
import type { Belief, Character, Trait } from '../estimate'
import { noColumns } from '../live/columns'
import { balanceSentence, causeWords, pieces } from '../run/balance'
import { vesselRow } from '../run/pads'
import { actionWords } from '../run/said'
import { plan } from '../testing'
import { takenAtRise, takenOf } from './compare'
import { bandOf, characterWords, FIRST_SD, knownFrom, traitRows, traitValue } from './traits'

const metric = METRIC
const believed = (share: number, means: Partial<Record<Trait, number>> = {}): Belief[] =>
  (Object.keys(FIRST_SD) as Trait[]).map((of) => ({ of, mean: means[of] ?? 0, sd: FIRST_SD[of] * share }))
const character = (share: number, means: Partial<Record<Trait, number>> = {}): Character => ({
  beliefs: believed(share, means), history: [{ title: 'one', start: '2026-10-03', run: believed(share * 1.2, means), after: believed(share, means) }],
})

describe('traits', () => {
  it('turn a logarithm into the stages it really has', () => {
    const row = traitRows(plan.still, character(0.3, { separation: Math.log(0.85) })).find((item) => item.of === 'separation')
    expect(row?.now?.p50).toBeCloseTo(8.5)
    expect(row && traitValue(row, row.now?.p50 ?? 0, metric)).toBe('8.5')
    expect(row?.words).toBe('known well')
    expect(row?.moved[0]?.alone).toBeCloseTo(8.5)
  })
  it('prop_ bands lie in order, within one another', () => {
    for (const mean of [-0.6, 0, 0.6]) for (const sd of [0.01, 0.2, 0.5]) for (const of of ['heater', 'head_offset'] as const) {
      const band = bandOf(of, 3500, { mean, sd })
      expect([band.p025, band.p10, band.p50, band.p90, band.p975]).toEqual([band.p025, band.p10, band.p50, band.p90, band.p975].sort((a, b) => a - b))
    }
  })
  it('has 80 % of a normal belief in its dark lens (normal quantile 1.2816, standard tables)', () => {
    const band = bandOf('head_offset', 0, { mean: 0.1, sd: 1 })
    expect(band.p90).toBeCloseTo(0.1 + 1.2816, 4)
    expect(band.p025).toBeCloseTo(0.1 - 1.96, 2)
  })
  it('says what a run can hardly teach, and what to do', () => {
    const list = traitRows(plan.still, { ...character(0.3), beliefs: believed(0.3).map((belief) => (belief.of === 'hold_up' ? { ...belief, sd: 0.29 } : belief)) })
    expect(list.find((row) => row.of === 'hold_up')?.words).toMatch(/^can hardly be learned from a run; drain the column/)
    expect(characterWords(list).unknown).toBe('The liquid it holds stays poorly known.')
    expect(knownFrom(0.3, 0.3)).toBe('hardly')
    expect(knownFrom(0.05, 0.3)).toBe('well')
  })
  it('has nothing learned before the first run, and says so', () => {
    const list = traitRows(plan.still, null)
    expect(list.every((row) => row.now === null && row.words === 'believed, not learned yet')).toBe(true)
    expect(characterWords(list).known).toBe('Nothing is known well yet.')
  })
  it('leaves the hold-up of a pot head out', () => {
    const list = traitRows({ ...plan.still, kind: 'pot', stages: 1 }, character(0.5))
    expect(list.some((row) => row.of === 'hold_up')).toBe(false)
    expect(list[0]?.unit).toBe('%')
  })
  it('tells offsets with their sign, in the reader\'s degrees', () => {
    const row = { of: 'head_offset' as const, unit: 'K', decimals: 2 }
    expect(traitValue(row, 0.2, metric)).toBe('+0.20\u00a0K')
    expect(traitValue(row, -0.2, metric, true)).toBe('\u22120.20')
    expect(traitValue(row, 0.2, { ...METRIC, temperature: 'F' })).toBe('+0.36\u00a0°F')
  })
})

describe('runs beside each other', () => {
  const columns = { ...noColumns(), time_s: [0, 60, 120, 180, 240], head_c: [78, 78, 78, 78, 79], pot_c: [null, null, null, null, null], rise_k: [0, 0.1, 0.5, 0.2, 1.2], litres: [0, 0.1, 0.2, null, 0.4], strength_vol: [90, 90, 80, 80, 50] }
  it('add up the pure alcohol of what was drawn', () => {
    const taken = takenOf('r', 'Run', columns)
    expect(taken.pure.map((value) => Number(value.toFixed(3)))).toEqual([0.09, 0.17, 0.27])
    expect(taken.rise).toEqual([0.1, 0.5, 1.2])
  })
  it('find where the rise was passed for good', () => {
    const taken = takenOf('r', 'Run', columns)
    expect(takenAtRise(taken, 1)).toBeCloseTo(0.27)
    expect(takenAtRise(taken, 0.4)).toBeCloseTo(0.17)
    expect(takenAtRise(taken, 5)).toBeNull()
  })
})

describe('where the alcohol went', () => {
  const balance = { charged_l: 1.7, collected_l: 1.3, left_l: 0.25, missing_l: 0.15, missing_sd_l: 0.03, causes: [], account: null }
  it('prop_ the pieces join without a gap and end at what was charged', () => {
    const list = pieces(balance)
    expect(list.map((piece) => piece.look)).toEqual(['collected', 'left', 'missing'])
    list.forEach((piece, i) => { if (i) expect(piece.from).toBeCloseTo(list[i - 1]?.to ?? NaN) })
    expect(list[2]?.to).toBeCloseTo(balance.charged_l)
  })
  it('tell too much as too much, and a gap that gauging cannot see as none', () => {
    const more = { ...balance, collected_l: 1.6, missing_l: -0.15 }
    expect(pieces(more)[2]).toMatchObject({ look: 'over' })
    expect(balanceSentence(more)).toContain('more pure alcohol was found')
    expect(balanceSentence(balance)).toBe('0.15\u00a0L of pure alcohol is missing.')
    expect(balanceSentence({ ...balance, missing_sd_l: 0.1 })).toContain('adds up')
  })
  it('cannot tell where too little was gauged, and says no figure', () => {
    const account = { verdict: 'cannot_tell' as const, not_gauged_l: 1.3, residue_gauged: false, vapour_lost_l: 0, parts: [], tells_most: { code: 'jars', text: 'Measure the jars.' } }
    const untold = { ...balance, collected_l: 0, account }
    expect(balanceSentence(untold)).toContain('cannot be told')
    expect(balanceSentence(untold)).not.toMatch(/[0-9]/)
    expect(pieces(untold).map((piece) => piece.look)).toEqual(['open', 'left', 'missing'])
  })
  it('write residue, feints and samples as rows that say them again', () => {
    const row = vesselRow('residue', 'kg', { value: 14.25, apparent_vol: 1.5, celsius: 24.5 })
    expect(row).toEqual({ action: 'residue', value: 14.25, unit: 'kg', note: '1.5 vol_at_24.5' })
    expect(actionWords(row ?? { action: '' })).toBe('Residue: 14.25 kg, the glass reads 1.5 % vol at 24.5 °C.')
    expect(vesselRow('sample', 'l', { value: 0.05 })).toEqual({ action: 'sample', value: 0.05, unit: 'l' })
    expect(vesselRow('feints', 'l', { value: 0.5, celsius: 20 })?.note).toBe('at_20.0')
    expect(vesselRow('feints', 'l', { celsius: 20 })).toBeNull()
  })
  it('name the cause with its odds', () => {
    expect(causeWords({ code: 'vapour_lost', text: 'vapour was lost at the condenser.', odds: 0.62 })).toBe('Vapour was lost at the condenser: 6 in 10')
  })
})
