// What was learned about a still, in words a distiller uses: values with bands, and how they moved.
import type { Belief, Character, Trait } from '../estimate'
import type { Band } from '../knowledge'
import type { Still } from '../types'
import { figure, unitOf, type UnitChoice } from '../units'

/** Standard deviations at which the 80 and the 95 % band end. */
const Z80 = 1.2816
const Z95 = 1.96

/** What is believed before the first run: standard deviation of the logarithm, or K. As the estimator begins. */
export const FIRST_SD: Record<Trait, number> = {
  separation: 0.25, heat_loss: 0.5, column_loss: 0.5, heater: 0.025, hold_up: 0.3, head_offset: 0.3, pot_offset: 0.4, valve: 0.04, yield: 0.02, vapour_lost: 0.065,
}
/** A small open still is believed to lose 8 % until it has shown its own. */
const FIRST_KEPT = Math.log(0.92)
const FIRST_SD_POT: Partial<Record<Trait, number>> = { separation: 0.3 }

export type Known = 'well' | 'fair' | 'poorly' | 'hardly'

export interface TraitRow {
  of: Trait
  name: string
  unit: string
  decimals: number
  /** Now; null before the first run. */
  now: Band | null
  /** Believed at first: 95 % range. */
  first: [number, number]
  /** As stated, or no offset. */
  stated: number
  known: Known | null
  words: string
  /** One for each run counted: what is believed after it, and what that run alone says. */
  moved: { title: string; after: Band; alone: number | null }[]
}

interface Sort { name: string; unit: string; decimals: number; base: (still: Still) => number | null; tip?: string }

const percent = (): number => 100

const SORTS: Record<Trait, Sort> = {
  separation: { name: 'stages it really has', unit: '', decimals: 1, base: (still) => (still.stages > 0 ? still.stages : null) },
  heat_loss: { name: 'heat the boiler loses', unit: 'W/K', decimals: 1, base: (still) => still.boiler_loss_w_per_k || null },
  column_loss: { name: 'heat column and head lose', unit: 'W/K', decimals: 1, base: (still) => still.column_loss_w_per_k || null },
  heater: { name: 'heater really gives', unit: 'W', decimals: 0, base: (still) => still.elements_watts.reduce((sum, watts) => sum + watts, 0) || null },
  hold_up: { name: 'liquid held in the column', unit: 'L', decimals: 2, base: (still) => still.holdup_litres || null, tip: 'drain the column after a run and weigh what comes' },
  head_offset: { name: 'head thermometer reads high by', unit: 'K', decimals: 2, base: () => 0, tip: 'hold it in steam over boiling water, with the barometer read' },
  pot_offset: { name: 'pot thermometer reads high by', unit: 'K', decimals: 2, base: () => 0, tip: 'hold it in melting ice' },
  valve: { name: 'take-off given, of what is set', unit: '%', decimals: 1, base: percent, tip: 'time the take-off into a jug' },
  yield: { name: 'hearts given, of what is reckoned', unit: '%', decimals: 1, base: percent },
  vapour_lost: { name: 'alcohol not lost as vapour, of what is charged', unit: '%', decimals: 0, base: percent, tip: 'gauge the residue after a run' },
}

const ORDER: Trait[] = ['separation', 'heat_loss', 'column_loss', 'heater', 'hold_up', 'head_offset', 'pot_offset', 'valve', 'yield', 'vapour_lost']
const isOffset = (of: Trait): boolean => of === 'head_offset' || of === 'pot_offset'

/** A value in the reader's own quantity from a mean and so many standard deviations. */
function valueOf(of: Trait, base: number, mean: number): number {
  return isOffset(of) ? mean : base * Math.exp(mean)
}

export function bandOf(of: Trait, base: number, belief: { mean: number; sd: number }): Band {
  const at = (deviations: number): number => valueOf(of, base, belief.mean + deviations * belief.sd)
  return { p025: at(-Z95), p10: at(-Z80), p50: at(0), p90: at(Z80), p975: at(Z95) }
}

export function knownFrom(sd: number, firstSd: number): Known {
  const share = sd / firstSd
  return share >= 0.9 ? 'hardly' : share >= 0.65 ? 'poorly' : share >= 0.35 ? 'fair' : 'well'
}

const WORDS: Record<Known, string> = { well: 'known well', fair: 'fair', poorly: 'poorly known', hardly: 'can hardly be learned from a run' }

/** A pot head has no plates: its separation is told against what is stated. */
const baseOf = (of: Trait, still: Still): number | null => SORTS[of].base(still)

export function traitRows(still: Still, character: Character | null): TraitRow[] {
  const find = (list: Belief[], of: Trait): Belief | null => list.find((belief) => belief.of === of) ?? null
  return ORDER.flatMap((of): TraitRow[] => {
    if (still.kind === 'pot' && of === 'hold_up') return []
    const sort = SORTS[of]
    const plain = of === 'separation' && (still.kind === 'pot' || baseOf(of, still) === null)
    const base = plain ? 100 : baseOf(of, still)
    if (base === null) return []
    const firstSd = (still.kind === 'pot' ? FIRST_SD_POT[of] : undefined) ?? FIRST_SD[of]
    const first = bandOf(of, base, { mean: of === 'vapour_lost' ? FIRST_KEPT : 0, sd: firstSd })
    const belief = character ? find(character.beliefs, of) : null
    const known = belief ? knownFrom(belief.sd, firstSd) : null
    const tip = sort.tip && (known === 'hardly' || known === 'poorly') ? `; ${sort.tip}` : ''
    return [{
      of, name: plain ? 'separation, of what is stated' : sort.name, unit: plain ? '%' : sort.unit, decimals: plain ? 0 : sort.decimals,
      now: belief ? bandOf(of, base, belief) : null, first: [first.p025, first.p975], stated: isOffset(of) ? 0 : base, known,
      words: known ? `${WORDS[known]}${tip}` : 'believed, not learned yet',
      moved: (character?.history ?? []).flatMap((run) => {
        const after = find(run.after, of)
        const alone = find(run.run, of)
        return after ? [{ title: run.title, after: bandOf(of, base, after), alone: alone ? valueOf(of, base, alone.mean) : null }] : []
      }),
    }]
  })
}

/** A value with its unit; offsets with their sign, in the reader's degrees. */
export function traitValue(row: Pick<TraitRow, 'of' | 'unit' | 'decimals'>, value: number, units: UnitChoice, bare = false): string {
  if (!isOffset(row.of)) return `${figure(value, row.decimals)}${bare || !row.unit ? '' : `\u00a0${row.unit}`}`
  const shown = units.temperature === 'C' ? value : value * 1.8
  const sign = Number(shown.toFixed(row.decimals)) > 0 ? '+' : ''
  return `${sign}${figure(shown, row.decimals)}${bare ? '' : `\u00a0${units.temperature === 'C' ? 'K' : unitOf('temperature', units)}`}`
}

const PLAIN: Record<Trait, string> = {
  separation: 'its separation', heat_loss: 'the heat its boiler loses', column_loss: 'the heat its column loses', heater: 'its heater', hold_up: 'the liquid it holds', head_offset: 'the head thermometer', pot_offset: 'the pot thermometer', valve: 'the take-off valve', yield: 'its yield', vapour_lost: 'the vapour it loses',
}

function joined(names: string[]): string {
  if (names.length < 2) return names.join('')
  return `${names.slice(0, -1).join(', ')} and ${names[names.length - 1]}`
}

/** What is known well and what is not, in one sentence each. */
export function characterWords(rows: TraitRow[]): { known: string; unknown: string } {
  const called = (wanted: Known[]): string[] => rows.filter((row) => row.known !== null && wanted.includes(row.known)).map((row) => PLAIN[row.of])
  const well = called(['well'])
  const poor = called(['poorly', 'hardly'])
  const large = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)
  return {
    known: well.length ? `Known well: ${joined(well)}.` : 'Nothing is known well yet.',
    unknown: poor.length ? large(`${joined(poor)} ${poor.length > 1 ? 'stay' : 'stays'} poorly known.`) : '',
  }
}
