import { describe, expect, it } from 'vitest'
import type { Stage } from '../types'
import { drawnOf, riverOf } from './river'
import type { AccountEntry } from '../types'
import { METRIC } from '../units'
import { correctable, countOf, legText, freshLeg, legOf, legsTo, placeWords, standWords, typedOf } from './words'

const part = (place: string, pure_alcohol_l: number) => ({ place, pure_alcohol_l, reported: pure_alcohol_l.toFixed(3) })
const stage = (place: string, through_l: number, more: Partial<Stage>): Stage => ({ place, through_l, reported: through_l.toFixed(3), opening_l: 0, came: [], went: [], away: [], stays: [], ...more })
const STAGES = [
  stage('wash', 5, { came: [part('fermented', 5)], went: [part('pot', 5)] }),
  stage('pot', 6, { came: [part('wash', 5), part('jar', 1)], went: [part('jar', 5)], away: [part('loss:residue', 0.8), part('not_explained', 0.2)] }),
  stage('jar', 5, { came: [part('pot', 5)], went: [part('pot', 1)], stays: [part('jar', 3), part('feints', 1)] }),
]

describe('the river', () => {
  it('draws every part of every stage, from sugar on, and what nobody explains in broken outline', () => {
    const drawn = drawnOf(STAGES)
    expect(drawn.map(({ place }) => place)).toEqual(['fermented', 'wash', 'pot', 'jar'])
    expect(drawn[2]?.falls.map(({ words, look }) => [words, look])).toEqual([['left in the pot', 'gone'], ['not explained', 'open']])
    // What goes back for another charge is no next stage.
    expect(drawn[3]?.falls.map(({ words }) => words)).toEqual(['to the charge'])
  })
  it('keeps every line and word within its width, beside or below each other', () => {
    for (const width of [288, 358, 700, 1224]) {
      const river = riverOf(STAGES, width)
      for (const fall of river.falls) expect(fall.y, `${width}: ${fall.words}`).toBeLessThan(river.height)
      for (const bar of river.bars) expect(bar.x + bar.width).toBeLessThanOrEqual(width)
      const ys = river.falls.filter(({ x }) => x === river.falls[0]?.x).map(({ y }) => y).sort((a, b) => a - b)
      for (let i = 1; i < ys.length; i += 1) expect((ys[i] ?? 0) - (ys[i - 1] ?? 0), `${width}: words apart`).toBeGreaterThan(14)
    }
  })
  it('types a leg as the server reads it, in the unit of the profile', () => {
    expect(legText({ ...freshLeg('tank', 'liquid'), name: ' T1 ', lot: 'L1', amount: '3,1', strength: '40,5' }, 'metric')).toBe('tank:T1/L1=3.1@40.5')
    expect(legText({ ...freshLeg('tank', 'pure'), name: 'T1', lot: 'L1', amount: '0,7' }, 'us')).toBe('tank:T1/L1=0.7pg')
    expect(legText({ ...freshLeg('bottles', 'bottles'), name: 's', lot: 'B', bottles: '12', strength: '40' }, 'eu')).toBe('bottles:s/B=12x700@40')
    expect(legText(freshLeg('loss:spill', 'rest'), 'eu')).toBe('loss:spill=rest')
    expect(placeWords('removed:friend')).toBe('to friend')
    expect(standWords('jar:R1-3', 'R1-3')).toBe('jar, R1-3')
    expect(standWords('tank:T1', 'H-0')).toBe('tank T1, H-0')
  })
  it('types the legs of an entry again as they stand in it, and leaves the rest to its loss', () => {
    const leg = (place: string, lot: string | null, pure_alcohol_l: number, more = {}) => ({ place, lot, pure_alcohol_l, reported: '', litres_20c: null, strength_vol: null, bottles: null, bottle_ml: null, ...more })
    const liquid = { litres_20c: 2.5, strength_vol: 40 }
    const entry = { corrected_by: null, kind: 'bottle', gauge: null, typed: [], from: [leg('tank:T2', 'H-4', 1.000000001)], to: [leg('bottles:shelf', 'B-1', 0.99, { ...liquid, bottles: 5, bottle_ml: 500 }), leg('tank:T2', 'H-4', 0.005), leg('loss:bottling', null, 0.005000001)] } as unknown as AccountEntry
    const again = (metric: boolean) => [...entry.from.map((one) => legOf(one, entry, metric)), ...legsTo(entry, metric)].map((one) => legText(one, metric ? 'metric' : 'us'))
    const typed = ['tank:T2/H-4=1.000000001', 'bottles:shelf/B-1=5x500@40', 'tank:T2/H-4=0.005', 'loss:bottling=rest']
    expect(again(true)).toEqual(typed)
    expect(again(false), 'litres stay litres where proof gallons are read').toEqual(typed)
    const read = { ...entry, gauge: liquid } as unknown as AccountEntry
    expect(legText(legOf(leg('tank:T1', 'A', 1, liquid), read, true), 'metric')).toBe('tank:T1/A=gauged')
    expect(legText(legOf(leg('tank:T1', 'A', 1, liquid), entry, true), 'metric')).toBe('tank:T1/A=2.5@40')
    expect(legText(legOf(leg('sample:gauge', null, 1e-9), entry, true), 'metric')).toBe('sample:gauge=0.000000001')
    const typed_so = { ...entry, typed: [{ field: 'from[0].litres_20c', value: 0.66, unit: 'US gal' }, { field: 'from[0].strength_vol', value: 80, unit: 'US proof' }] }
    expect(legText(legOf(leg('tank:T1', 'A', 1, liquid), typed_so, true, 'from[0]'), 'metric'), 'as it was typed').toBe('tank:T1/A=0.66 US gal@80 US proof')
    expect(legText({ ...freshLeg('received', 'liquid', { ...METRIC, volume: 'imp gal' }), amount: '2', strength: '12' }, 'metric')).toBe('received=2 imp gal@12')
    expect([typedOf('to[1].strength_vol'), typedOf('read.celsius'), typedOf('steps.gauged[0]')]).toEqual(['strength, to no. 2', 'temperature', 'gauged'])
    const count = { ...entry, kind: 'stock_take', from: [leg('tank:T1', 'A', 0.1)], to: [leg('loss:cask', null, 0.1)] }
    expect([correctable(count), countOf(count)]).toEqual([true, { place: 'tank:T1', lot: 'A', lostTo: 'loss:cask' }])
    expect([entry, { ...entry, corrected_by: 4 }, { ...entry, kind: 'void' }].map(correctable)).toEqual([true, false, false])
  })
})
