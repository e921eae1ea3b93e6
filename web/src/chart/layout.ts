// Where the parts of the strip stand on paper, for a measured width.
import { AXIS, jarsHeight, lanesHeight, stripHeight, TOP } from './height'
import { linear, type Scale } from './scales'

export interface Span { top: number; bottom: number }

export interface StripLayout {
  width: number
  narrow: boolean
  from: number
  to: number
  x: Scale
  /** How far is drawn, beyond the window too: points on paper, and the run time they stand for. */
  left: number
  right: number
  drawnFrom: number
  drawnTo: number
  ribbon: Span
  rise: Span
  strength: Span
  collected: Span
  axis: number
  jars: Span
  height: number
}

/** `room` is the height that the lanes may take in all, `beyond` the share of the width that is drawn on either side of the window. */
export function stripLayout(width: number, narrow: boolean, from: number, to: number, room: number, withJars: boolean, beyond = 0): StripLayout {
  const lanes = lanesHeight(room)
  const top = TOP
  const rise: Span = { top, bottom: top + lanes * 0.37 }
  const strength: Span = { top: rise.bottom + 2, bottom: rise.bottom + lanes * 0.31 }
  const collected: Span = { top: strength.bottom + 2, bottom: strength.bottom + lanes * 0.32 }
  const axis = collected.bottom + AXIS
  const jars: Span = { top: axis + 26, bottom: axis + 26 + jarsHeight(narrow) }
  return {
    width, narrow, from, to, x: linear([from, to], [0, width]),
    left: -beyond * width, right: (1 + beyond) * width, drawnFrom: from - beyond * (to - from), drawnTo: to + beyond * (to - from),
    ribbon: { top: 56, bottom: 72 }, rise, strength, collected, axis, jars,
    height: withJars ? stripHeight(room, narrow) : axis + 8,
  }
}

/** Places labels of a width side by side near where they belong, none on another. */
export function spread(wanted: number[], width: number, most: number): number[] {
  const placed = wanted.map((x) => Math.min(Math.max(x, width / 2), most - width / 2))
  for (let i = 1; i < placed.length; i += 1) {
    placed[i] = Math.max(placed[i] ?? 0, (placed[i - 1] ?? 0) + width)
  }
  let right = most - width / 2
  for (let i = placed.length - 1; i >= 0; i -= 1) {
    placed[i] = Math.min(placed[i] ?? 0, right)
    right = (placed[i] ?? 0) - width
  }
  return placed
}
