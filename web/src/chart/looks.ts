// Colour and texture of liquid by its cleanliness; the word always stands beside.
import type { StepKind } from '../types'

export interface Look { fill: string; pattern: string | null; word: string }

const LOOKS = {
  fore: { fill: 'k-fore', pattern: 'p-fore', word: 'discard' },
  heads: { fill: 'k-heads', pattern: 'p-heads', word: 'sharp' },
  early: { fill: 'k-early', pattern: 'p-early', word: 'faint' },
  clear: { fill: 'k-clear', pattern: null, word: 'clean' },
  late: { fill: 'k-late', pattern: 'p-late', word: 'faint' },
  tails: { fill: 'k-tails', pattern: 'p-tails', word: 'oily' },
  end: { fill: 'k-end', pattern: 'p-end', word: 'oily' },
  none: { fill: 'low', pattern: null, word: '' },
} satisfies Record<string, Look>

/** Look of a jar by its cleanliness word. */
export function jarLook(cleanliness: string, cut: StepKind): Look {
  switch (cleanliness) {
    case 'discard': return LOOKS.fore
    case 'sharp': return LOOKS.heads
    case 'faint': return LOOKS.early
    case 'faint_late': return LOOKS.late
    case 'oily': return LOOKS.tails
    case 'clean': return LOOKS.clear
    default: return stepLook(cut)
  }
}

/** Look of a step on the ribbon: slow hearts are hearts, as their jars are. */
export function stepLook(kind: StepKind): Look {
  switch (kind) {
    case 'foreshots': return LOOKS.fore
    case 'heads': return LOOKS.heads
    case 'hearts': return LOOKS.clear
    case 'tails': return LOOKS.tails
    default: return LOOKS.none
  }
}
