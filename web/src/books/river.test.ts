import { describe, expect, it } from 'vitest'
import type { Stage } from '../types'
import { drawnOf, riverOf } from './river'
import { legText, freshLeg, placeWords, standWords } from './words'

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
})
