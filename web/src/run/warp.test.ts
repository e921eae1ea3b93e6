import { describe, expect, it } from 'vitest'
import { advice, forecast, plan, said } from '../testing'
import { begun, drawnJars, marks, riseAgainstPlateau, segments, windowOf } from './strip'
import { anchors, fan, planTime, presentRow } from './warp'

const late = advice({
  boundaries: [
    { step_index: 3, step: 'hearts', earliest_s: 6400, likely_s: 6600, latest_s: 6800 },
    { step_index: 4, step: 'hearts', earliest_s: 7300, likely_s: 7600, latest_s: 7900 },
    { step_index: 5, step: 'tails', earliest_s: 8200, likely_s: 8600, latest_s: 9000 },
  ],
})

describe('the forecast on the run\'s clock', () => {
  it('moves the ends of steps to where they are expected now', () => {
    const list = anchors(forecast(), late, 0)
    expect(planTime(list, 6600)).toBeCloseTo(6000, 6)
    expect(planTime(list, 7600)).toBeCloseTo(7000, 6)
    expect(planTime(list, 8601)).toBeNull()
  })
  it('prop_ the ranges hold the likely course and widen', () => {
    const course = fan(forecast(), late, 9000, 0.1, (row) => row.head_c - 78)
    expect(course.times.length).toBeGreaterThan(50)
    course.times.forEach((_, i) => {
      const likely = course.likely[i] ?? 0
      expect(course.low95[i]).toBeLessThanOrEqual(course.low[i] ?? 0)
      expect(course.low[i]).toBeLessThanOrEqual(likely)
      expect(course.high[i]).toBeGreaterThanOrEqual(likely)
      expect(course.high95[i]).toBeGreaterThanOrEqual((course.high[i] ?? 0) - 1e-12)
      expect((course.high95[i] ?? 0) - (course.low95[i] ?? 0)).toBeGreaterThanOrEqual(0.2 - 1e-12)
    })
  })
  it('draws nothing where nothing is expected', () => {
    expect(fan(forecast(), advice(), 9000, 0.1, (row) => row.pot_c).times).toEqual([])
    expect(presentRow(forecast(), advice())).toBeNull()
  })
})

describe('the strip', () => {
  const events = [said({ kind: 'step', code: 'equalise', time_s: 2000 }), said({ kind: 'step', code: 'foreshots', time_s: 3300 }), said({ kind: 'step', code: 'hearts', time_s: 3600 })]
  it('knows when steps began, and the running one without being told', () => {
    expect(begun(events, plan, advice()).map((step) => [step.index, step.at])).toEqual([[0, 0], [1, 2000], [2, 3300], [3, 3600]])
    expect(begun([], plan, advice()).map((step) => step.index)).toEqual([0, 3])
    expect(begun([...events, said({ kind: 'step', code: 'slow_hearts', time_s: 6000 })], plan, advice({ step_index: 4, step_started_s: 6000 })).at(-1)).toEqual({ index: 4, at: 6000 })
  })
  it('puts past and forecast steps end to end, and no forecast when data is lost', () => {
    const all = segments(events, plan, late, true)
    all.forEach((segment, i) => { if (i) expect(segment.from).toBe(all[i - 1]?.to) })
    expect(all.filter((segment) => !segment.past).map((segment) => segment.name)).toEqual(['hearts', 'slow hearts', 'tails'])
    expect(segments(events, plan, late, false).every((segment) => segment.past)).toBe(true)
  })
  it('names the ends by what then begins', () => {
    expect(marks(plan, late).map((mark) => mark.name)).toEqual(['fast hearts end', 'tails begin', 'stop'])
  })
  it('counts the past from the plateau as it is known now', () => {
    const columns = { time_s: [0, 10, 20, 30], head_c: [77.9, 78.1, 78.2, 78.3], pot_c: [], litres: [], strength_vol: [], rise_k: [null, 0.4, 0.2, 0.3] }
    const known = [said({ kind: 'state', code: 'plateau_known', time_s: 20 })]
    expect(riseAgainstPlateau(columns, []).at(1)).toBe(0.4)
    const rise = riseAgainstPlateau(columns, known)
    expect(rise[0]).toBeNull()
    expect(rise[1]).toBeCloseTo(0.1, 9)
    expect(rise.slice(2)).toEqual([0.2, 0.3])
  })
  it('draws a jar once', () => {
    const jar = { number: 6, cut: 'tails', start_s: 0, end_s: 1, volume_ml: 330, measured: true, strength_vol: null, cleanliness: 'oily' } as const
    expect(drawnJars([{ ...jar, status: 'filled' }, { ...jar, status: 'open' }])).toHaveLength(1)
    expect(drawnJars([{ ...jar, status: 'open' }])).toHaveLength(1)
  })
  it('shows an hour back and 58 min ahead on a phone', () => {
    const [from, to] = windowOf(late, begun(events, plan, late), plan, true, 0)
    expect([from, to]).toEqual([400, 7480])
  })
})
