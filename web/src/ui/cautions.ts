// The cautions and the check list, in our own words. Sources and what is unsourced: docs, "cautions".
import list from './checks.txt?raw'

export type CautionPlace = 'start' | 'heat' | 'foreshots' | 'gauge'

export const cautions: Record<CautionPlace, { title: string; lines: string[] }> = {
  start: {
    title: 'Before anything else',
    lines: [
      'Making spirit without leave is an offence in most countries. Ask what the law is where you are.',
      'Stay with a heated still: within sight and hearing, from heater on until it has cooled.',
      'The way from the boiler to open air must never be shut: no valve, plug or kink in it. Heat and a closed path burst.',
      'Coolant must run before the boil. Without it, flammable vapour fills a room in minutes.',
      'Middlecut only advises. It moves no heater and no valve and guards nothing: a cut-out, a residual-current device, an open vent and your own eyes remain.',
      'Where local codes or a licensed practitioner say otherwise, they are right.',
    ],
  },
  heat: {
    title: 'Before heat',
    lines: [
      'Look through the list with your hands on each thing, not from memory.',
      'Keep every flame, spark and cigarette away: spirit vapour is heavier than air, sinks and travels along the floor.',
      'Know where you would switch the heat off if you could not come near the still.',
    ],
  },
  foreshots: {
    title: 'At the first runnings',
    lines: [
      'Set them aside and throw them away: they hold the sharpest of what boils early. Mark the jar so that nobody drinks it.',
      'That is for taste and for solvents. It does not take out methanol, which spreads through the whole run.',
      'From now on strong spirit stands open near heat: small vessels, on a tray, away from the edge, no flame.',
    ],
  },
  gauge: {
    title: 'With strong spirit on the bench',
    lines: [
      'Over about 50 % vol it gives off vapour that can catch fire at room temperature. No flame near the bench; a spirit flame is hard to see by day.',
      'Do not drink or taste it undiluted. Smell and taste a few drops at 20 to 30 % vol, and none while the still is hot.',
      'Mixing with water warms it. Stir, leave room, let it cool, then gauge again.',
    ],
  },
}

/** One line each; the printed sheet has the same list. */
export const checks: string[] = list.trim().split('\n')
