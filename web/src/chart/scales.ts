// The scales of the drawings: time, rise, strength and litres to points on paper.

export interface Scale { (value: number): number }

const clamp = (value: number, low: number, high: number): number => Math.min(Math.max(value, low), high)

export function linear(from: [number, number], to: [number, number]): Scale {
  const span = from[1] - from[0] || 1
  return (value) => to[0] + ((value - from[0]) / span) * (to[1] - to[0])
}

/** The knee of the rise scale: near nought it is even, above it grows like a logarithm. */
export const RISE_KNEE_K = 0.15

/** Rise above the plateau, K, so that +0.4 K and +15 K both show. */
export function riseScale(highestK: number, bottom: number, top: number, lowestK = -0.3): Scale {
  const bend = (kelvin: number): number => Math.asinh(kelvin / RISE_KNEE_K)
  const even = linear([bend(lowestK), bend(Math.max(highestK, 1))], [bottom, top])
  return (kelvin) => even(bend(clamp(kelvin, lowestK, Math.max(highestK, 1))))
}

/** Strength, % vol, as -ln(1 - strength): it opens up the top. */
export function strengthScale(bottom: number, top: number, lowest = 30, highest = 97): Scale {
  const bend = (vol: number): number => -Math.log(1 - vol / 100)
  const even = linear([bend(lowest), bend(highest)], [bottom, top])
  return (vol) => even(bend(clamp(vol, lowest, highest)))
}

export const DAY = 86_400

/** Round steps for a scale of clock time, s: whole days where hours would be too many. */
export function timeStep(spanSeconds: number, most: number): number {
  const steps = [5, 10, 15, 30, 60, 120, 240].map((minutes) => minutes * 60)
  const hours = steps.find((step) => spanSeconds / step <= most) ?? 480 * 60
  return spanSeconds / hours <= most ? hours : Math.ceil(spanSeconds / most / DAY) * DAY
}

/** Round clock ticks inside a span of run time. */
export function timeTicks(from: number, to: number, step: number, startedMs: number, zoneOffsetMinutes: number): number[] {
  const dayStart = (startedMs / 1000 + zoneOffsetMinutes * 60) % 86_400
  const first = Math.ceil((from + dayStart) / step) * step - dayStart
  const ticks: number[] = []
  for (let at = first; at <= to && ticks.length < 200; at += step) ticks.push(at)
  return ticks
}

/** To a tenth of a point; many times quicker than `toFixed`. */
const tenth = (value: number): number => Math.round(value * 10) / 10

/** Which points of a series to draw: the last of each stretch of `pitch` seconds, and the first and last of all. */
export function sparse(times: readonly number[], pitch: number): number[] {
  const kept: number[] = []
  let stretch = NaN
  times.forEach((time, i) => {
    const mine = pitch > 0 ? Math.floor(time / pitch) : i
    if (mine === stretch && kept.length > 1) kept[kept.length - 1] = i
    else kept.push(i)
    stretch = mine
  })
  return kept
}

/** An SVG path through points; a gap where a value is missing. */
export function linePath(xs: readonly number[], ys: readonly (number | null)[]): string {
  let path = ''
  let pen = false
  for (let i = 0; i < xs.length; i += 1) {
    const x = xs[i]
    const y = ys[i]
    if (x === undefined || y === null || y === undefined || !Number.isFinite(y)) {
      pen = false
      continue
    }
    path += `${pen ? 'L' : 'M'}${tenth(x)} ${tenth(y)}`
    pen = true
  }
  return path
}

/** A closed band between two lines. */
export function bandPath(xs: readonly number[], lows: readonly number[], highs: readonly number[]): string {
  if (xs.length < 2) return ''
  const there = xs.map((x, i) => `${i ? 'L' : 'M'}${tenth(x)} ${tenth(highs[i] ?? 0)}`).join('')
  const back = xs.map((x, i) => `L${tenth(x)} ${tenth(lows[i] ?? 0)}`).reverse().join('')
  return `${there}${back}Z`
}

/** The value of a row series at an instant, straight between rows; null outside or where unknown. */
export function valueAt(times: readonly number[], values: readonly (number | null)[], time: number): number | null {
  if (!times.length || time < (times[0] ?? 0) || time > (times[times.length - 1] ?? 0)) return null
  let low = 0
  let high = times.length - 1
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if ((times[middle] ?? 0) <= time) low = middle
    else high = middle
  }
  const before = values[low]
  const after = values[high]
  if (before === null || before === undefined) return null
  if (after === null || after === undefined) return before
  const span = (times[high] ?? 0) - (times[low] ?? 0)
  return span <= 0 ? before : before + ((after - before) * (time - (times[low] ?? 0))) / span
}
