// The measured past as columns, kept to a bounded length.
import type { Columns, Point } from '../types'

/** Most points kept for the drawings; the older half is thinned when it is passed. */
export const POINTS_MAX = 2400

const NAMES = ['head_c', 'pot_c', 'rise_k', 'litres', 'strength_vol'] as const

export const noColumns = (): Columns =>
  ({ time_s: [], head_c: [], pot_c: [], rise_k: [], litres: [], strength_vol: [] })

/** The columns with one more point; a point that is not newer is left out. */
export function withPoint(columns: Columns, point: Point): Columns {
  const last = columns.time_s[columns.time_s.length - 1]
  if (last !== undefined && point.time_s <= last) return columns
  const base = columns.time_s.length >= POINTS_MAX ? thinned(columns) : columns
  const next: Columns = { ...base, time_s: [...base.time_s, point.time_s] }
  for (const name of NAMES) next[name] = [...base[name], point[name] ?? null]
  return next
}

/** Every second point of the older half, all of the newer half. */
export function thinned(columns: Columns): Columns {
  const half = columns.time_s.length >> 1
  const keep = (_value: unknown, i: number): boolean => i >= half || i % 2 === 0
  const next: Columns = { ...columns, time_s: columns.time_s.filter(keep) }
  for (const name of NAMES) next[name] = columns[name].filter(keep)
  return next
}
