import { describe, expect, it } from 'vitest'
import { METRIC, clock, countdown, duration, figure, hours, parseNumber, proofOfVol, rise, strength, temperature } from './units'
import { held, shown, volOfProof } from './typed'

const proof = { ...METRIC, temperature: 'F', strength: 'proof' } as const
const metric = METRIC

describe('proof', () => {
  // 100, 80 and 190 US proof at 60 F are 50.06, 40.07 and 95.01 % vol at 20 C: OIML R 22 formula; US 27 CFR 30 uses
  // proof = 2 x % vol at 60 F.
  it.each([[50.06, 100], [40.07, 80], [95.01, 190], [0, 0], [100, 200]])('val_ %f %% vol is %f proof', (vol, expected) => {
    expect(proofOfVol(vol)).toBeCloseTo(expected, 1)
  })
  it('prop_ goes there and back', () => {
    for (let vol = 0; vol <= 100; vol += 0.37) expect(volOfProof(proofOfVol(vol))).toBeCloseTo(vol, 6)
  })
})

describe('numbers a person types', () => {
  it.each([['11,5', 11.5], ['11.5', 11.5], [' 7 ', 7], ['.5', 0.5], [',5', 0.5], ['5,', 5], ['-3', -3], ['\u22123', -3]])('%s', (text, value) => {
    expect(parseNumber(text)).toBe(value)
  })
  it.each(['', 'abc', '1e5', 'NaN', 'Infinity', '1.2.3', '1,234.5', '0x10', '--1', '12 L'])('refuses %s', (text) => {
    expect(parseNumber(text)).toBeNull()
  })
})

describe('what is shown', () => {
  it('never shows a negative nought', () => {
    expect(figure(-0.001, 2)).toBe('0.00')
    expect(rise(-0.001, metric)).toBe('0.00\u00a0K')
  })
  it('signs a rise', () => {
    expect(rise(0.084, metric)).toBe('+0.08\u00a0K')
    expect(rise(-0.5, metric, 1)).toBe('\u22120.5\u00a0K')
    expect(rise(1, proof, 1)).toBe('+1.8\u00a0°F')
  })
  it('switches units', () => {
    expect(temperature(100, proof, 0)).toBe('212\u00a0°F')
    expect(strength(94.44, metric)).toBe('94.4\u00a0%\u00a0vol')
    expect(strength(50.06, proof, 0)).toBe('100\u00a0proof')
    expect(held(shown(78.2, 'temperature', proof), 'temperature', proof)).toBeCloseTo(78.2, 9)
  })
  it('tells time at the place of the run', () => {
    const started = Date.UTC(2026, 9, 3, 6, 12)
    expect(clock(0, started, 120)).toBe('08:12')
    expect(clock(3600 * 17, started, 120)).toBe('01:12')
    expect(clock(0, started, -570)).toBe('20:42')
    expect(clock(30 * 3600, started, 120)).toBe('14:12')
    expect(clock(2 * 86_400, started, 120)).toBe('5\u00a0Oct')
  })
  it('tells how long', () => {
    expect(duration(48)).toBe('48\u00a0s')
    expect(duration(719)).toBe('12\u00a0min')
    expect(duration(9060)).toBe('2\u00a0h\u00a031')
    expect(countdown(380)).toBe('6:20')
    expect(hours(3900)).toBe('1:05')
  })
})
