import { describe, expect, it } from 'vitest'
import { around, end, forecast, known, plan, said } from '../testing'
import { begun, drawnJars, gaps, heartsEnd, marks, riseAgainstPlateau, segments, windowOf } from './strip'
import { anchors, collectedFan, fan, planTime, presentRow } from './warp'

const late = known({ ends: [end(3, 6600, 200, { short: 'slow hearts' }), end(4, 7600, 300, { short: 'tails begin' }), end(5, 8600, 400, { short: 'stop', what: 'stop' })] })

describe('the forecast on the run\'s clock', () => {
  it('moves the ends of steps to where they are expected now', () => {
    const list = anchors(forecast(), late, 'p50')
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
    expect(fan(forecast(), known({ ends: [] }), 9000, 0.1, (row) => row.pot_c).times).toEqual([])
    expect(presentRow(forecast(), known({ ends: [] }))).toBeNull()
  })
})

describe('the fan of what is collected', () => {
  const [ends, come] = [around(7200, 700), around(0.8, 0.08)]
  it('prop_ bands lie within each other, begin at what is in the jars and never fall', () => {
    const drawn = collectedFan(ends, come, 4000, 0.3, 20_000)
    expect(drawn?.likely[0]).toBeCloseTo(0.3)
    drawn?.times.forEach((_, i) => {
      const at = (values: readonly (number | null)[]): number => values[i] ?? NaN
      expect(at(drawn.low95)).toBeLessThanOrEqual(at(drawn.low) + 1e-12)
      expect(at(drawn.low)).toBeLessThanOrEqual(at(drawn.likely) + 1e-12)
      expect(at(drawn.likely)).toBeLessThanOrEqual(at(drawn.high) + 1e-12)
      expect(at(drawn.high)).toBeLessThanOrEqual(at(drawn.high95) + 1e-12)
      if (i) expect(at(drawn.low95)).toBeGreaterThanOrEqual((drawn.low95[i - 1] ?? 0) - 1e-12)
    })
  })
  it('ends with the litres that are to come', () => {
    const drawn = collectedFan(ends, come, 4000, 0.3, 1e6)
    expect(drawn?.likely.at(-1)).toBeCloseTo(0.3 + come.p50)
    expect(drawn?.low95.at(-1)).toBeCloseTo(0.3 + come.p025)
    expect(drawn?.high95.at(-1)).toBeCloseTo(0.3 + come.p975)
  })
  it('is not drawn where there is nothing to come', () => {
    expect(collectedFan(null, come, 4000, 0.3, 9000)).toBeNull()
    expect(collectedFan(ends, null, 4000, 0.3, 9000)).toBeNull()
    expect(collectedFan(ends, come, 99_000, 0.3, 1e6)).toBeNull()
    expect(collectedFan(ends, come, 4000, 0.3, 3000)).toBeNull()
  })
})

describe('the strip', () => {
  const events = [said({ kind: 'step', code: 'equalise', time_s: 2000 }), said({ kind: 'step', code: 'foreshots', time_s: 3300 }), said({ kind: 'step', code: 'hearts', time_s: 3600 })]
  it('knows when steps began, and the running one without being told', () => {
    expect(begun(events, plan, known()).map((step) => [step.index, step.at])).toEqual([[0, 0], [1, 2000], [2, 3300], [3, 3600]])
    expect(begun([], plan, known()).map((step) => step.index)).toEqual([0, 3])
    expect(begun([...events, said({ kind: 'step', code: 'slow_hearts', time_s: 6000 })], plan, known({ step: { index: 4, kind: 'hearts', name: 'slow hearts', slow: true, started_s: 6000 } })).at(-1)).toEqual({ index: 4, at: 6000 })
  })
  it('puts past and forecast steps end to end, and no forecast when data is lost', () => {
    const all = segments(events, plan, late, true)
    all.forEach((segment, i) => { if (i) expect(segment.from).toBe(all[i - 1]?.to) })
    expect(all.filter((segment) => !segment.past).map((segment) => segment.name)).toEqual(['hearts', 'slow hearts', 'tails'])
    expect(segments(events, plan, late, false).every((segment) => segment.past)).toBe(true)
  })
  it('names the ends by what then begins', () => {
    expect(marks(late).map((mark) => mark.name)).toEqual(['slow hearts', 'tails begin', 'stop'])
    expect(heartsEnd(late, plan)?.at.p50).toBe(7600)
  })
  it('counts the past from the plateau as it is known now', () => {
    const columns = { time_s: [0, 10, 20, 30], head_c: [77.9, 78.1, 78.2, 78.3], pot_c: [], litres: [], strength_vol: [], rise_k: [null, 0.4, 0.2, 0.3] }
    const told = [said({ kind: 'state', code: 'plateau_known', time_s: 20 })]
    expect(riseAgainstPlateau(columns, [], true).at(1)).toBe(0.4)
    const rise = riseAgainstPlateau(columns, told, true)
    expect(rise[0]).toBeNull()
    expect(rise[1]).toBeCloseTo(0.1, 9)
    expect(rise.slice(2)).toEqual([0.2, 0.3])
  })
  it('shows no rise before the plateau of this run is known', () => {
    const columns = { time_s: [0, 10], head_c: [77, 78], pot_c: [], litres: [], strength_vol: [], rise_k: [2.3, 2.4] }
    expect(riseAgainstPlateau(columns, [], false)).toEqual([null, null])
  })
  it('draws a jar once', () => {
    const jar = { number: 6, cut: 'tails', start_s: 0, end_s: 1, volume_ml: 330, measured: true, strength_vol: null, strength_read: false, cleanliness: 'oily' } as const
    expect(drawnJars([{ ...jar, status: 'filled' }, { ...jar, status: 'open' }])).toHaveLength(1)
    expect(drawnJars([{ ...jar, status: 'open' }])).toHaveLength(1)
  })
  it('shows an hour back and 58 min ahead on a phone', () => {
    const [from, to] = windowOf(late, begun(events, plan, late), plan, true, 0)
    expect([from, to]).toEqual([400, 7480])
  })
})

it('heat that was off in mid-run is ruled off, the last one of a run that cools down is not', () => {
  const heat = (time_s: number, value: number) => ({ action: 'heater', value, time_s })
  const acts = [heat(0, 2000), heat(5000, 0), heat(5600, 1500), heat(9000, 0), { action: 'jar', value: 3, time_s: 9100 }]
  expect(gaps(acts, { time_s: 9500, state: 'cooling_down' })).toEqual([{ from: 5000, to: 5600 }])
  expect(gaps(acts, { time_s: 9500, state: 'interrupted' })).toEqual([{ from: 5000, to: 5600 }, { from: 9000, to: 9500 }])
  // Said twice, it was off since the first.
  expect(gaps([heat(0, 2000), heat(100, 0), heat(200, 0), heat(300, 900)], { time_s: 400, state: 'hearts' })).toEqual([{ from: 100, to: 300 }])
})
