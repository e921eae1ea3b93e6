import { describe, expect, it } from 'vitest'
import { spread } from './layout'
import { bandPath, linePath, riseScale, sparse, strengthScale, timeStep, timeTicks, valueAt } from './scales'

describe('scales', () => {
  it('prop_ rise grows upward, evenly near nought and shows both +0.4 K and +15 K', () => {
    const y = riseScale(20, 100, 0)
    for (let k = -0.3; k < 20; k += 0.1) expect(y(k + 0.1)).toBeLessThanOrEqual(y(k))
    expect(y(0) - y(0.4)).toBeGreaterThan(15)
    expect(y(15)).toBeLessThan(y(0.4) - 15)
    expect(y(99)).toBe(0)
  })
  it('prop_ strength opens up the top', () => {
    const y = strengthScale(100, 0)
    expect(y(90) - y(95)).toBeGreaterThan(y(40) - y(45))
  })
  it('ticks stand on round clock times', () => {
    const started = Date.UTC(2026, 9, 3, 6, 12)
    const ticks = timeTicks(0, 7200, 1800, started, 120)
    expect(ticks).toEqual([1080, 2880, 4680, 6480])
  })
})

describe('paths', () => {
  it('leaves a gap where nothing was read', () => {
    expect(linePath([0, 1, 2, 3], [5, null, 6, 7])).toBe('M0 5M2 6L3 7')
  })
  it('closes a band, and draws none from one point', () => {
    expect(bandPath([0, 10], [4, 5], [1, 2])).toBe('M0 1L10 2L10 5L0 4Z')
    expect(bandPath([1], [1], [1])).toBe('')
  })
  it('reads between rows and nothing outside them', () => {
    expect(valueAt([0, 10, 20], [0, 100, 200], 15)).toBe(150)
    expect(valueAt([0, 10], [0, 1], 11)).toBeNull()
    expect(valueAt([0, 10], [null, 1], 5)).toBeNull()
    expect(valueAt([], [], 5)).toBeNull()
  })
  it('prop_ labels never stand on each other nor off the paper', () => {
    const placed = spread([10, 20, 30, 350], 80, 400)
    placed.forEach((x, i) => {
      expect(x).toBeGreaterThanOrEqual(40)
      expect(x).toBeLessThanOrEqual(360)
      if (i) expect(x - (placed[i - 1] ?? 0)).toBeGreaterThanOrEqual(80 - 1e-9)
    })
  })
})

it('draws the last point of each stretch, the first and the last, and every one where there is room', () => {
  const times = [0, 1, 2, 10, 11, 12, 20, 29]
  expect(sparse(times, 10).map((i) => times[i])).toEqual([0, 2, 12, 29])
  expect(sparse(times, 0)).toEqual([0, 1, 2, 3, 4, 5, 6, 7])
  expect(sparse([], 10)).toEqual([])
})

it('tells days where hours would stand on each other', () => {
  expect(timeStep(6 * 3600, 9)).toBe(3600)
  expect(timeStep(9 * 86_400, 9)).toBe(86_400)
  expect(timeStep(20 * 86_400, 9)).toBe(3 * 86_400)
})
