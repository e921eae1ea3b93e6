// A middle value is never told more finely than its range allows.
import type { Band } from '../knowledge'
import { figure, proofOfVol, type UnitChoice } from '../units'

/** Decimals that a value with that 80 % range deserves. */
export function decimalsFor(of: Band, most: number): number {
  const width = Math.abs(of.p90 - of.p10)
  return Math.min(width >= 2 ? 0 : width >= 0.15 ? 1 : 2, most)
}

export function litresIn(value: number, of: Band, bare = false): string {
  return `${figure(value, Math.max(decimalsFor(of, 2), Math.abs(of.p50) < 10 ? 1 : 0))}${bare ? '' : '\u00a0L'}`
}

export function strengthIn(value: number, of: Band, units: UnitChoice, bare = false): string {
  const decimals = decimalsFor(of, 1)
  return units.strength === 'vol' ? `${figure(value, decimals)}${bare ? '' : '\u00a0%'}` : `${figure(proofOfVol(value), 0)}${bare ? '' : '\u00a0proof'}`
}
