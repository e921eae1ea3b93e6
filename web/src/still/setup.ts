// What is asked at set-up beside sizes: what heats the boiler, where the head thermometer sits.
import type { components } from '../api'

export type HeatSource = components['schemas']['HeatSourceWire']
export type HeadPlace = components['schemas']['HeadPlaceWire']

export const HEATS = [['electric', 'electric'], ['steam', 'steam'], ['gas', 'gas'], ['fire', 'fire']] as const satisfies readonly (readonly [HeatSource, string])[]

export const PLACES = [
  ['above', 'in the vapour that becomes the spirit'],
  ['below', 'below a partial condenser, in the vapour that enters it'],
] as const satisfies readonly (readonly [HeadPlace, string])[]

/** What heats it, in words. */
export function heatWords(source: HeatSource, powers: readonly string[]): string {
  if (source === 'electric') return `${powers.length === 1 ? 'one element' : `${powers.length} elements`} of ${powers.join(' and ')}`
  return powers.length === 0 ? `heated by ${source}, its power still to be learned` : `heated by ${source}, ${powers.join(' and ')}`
}
