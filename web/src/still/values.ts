// The values of a still: what each is called, its unit, the steps it is changed by.
import type { Still } from '../types'

export type ValueKey =
  | 'boiler_litres' | 'element_cover_litres' | 'stages' | 'holdup_litres' | 'drum_fraction' | 'boiler_loss_w_per_k'
  | 'column_loss_w_per_k' | 'metal_kj_per_k' | 'column_metal_kj_per_k' | 'pressure_drop_pa_per_stage' | 'max_takeoff_ml_per_min'

export interface StillValue { key: ValueKey; label: string; unit: string; step: number; decimals: number; min: number; max: number; column: boolean; tells: string }

export const VALUES: StillValue[] = [
  { key: 'boiler_litres', label: 'boiler', unit: 'L', step: 1, decimals: 1, min: 1, max: 1000, column: false, tells: 'how full a charge is' },
  { key: 'element_cover_litres', label: 'must stay over the elements', unit: 'L', step: 0.5, decimals: 1, min: 0, max: 500, column: false, tells: 'when the heat must go off' },
  { key: 'stages', label: 'contact stages', unit: '', step: 1, decimals: 1, min: 0, max: 30, column: true, tells: 'strength, and how sharp the cut is' },
  { key: 'holdup_litres', label: 'liquid held in the column', unit: 'L', step: 0.05, decimals: 2, min: 0, max: 50, column: true, tells: 'filling time, and when hearts end' },
  { key: 'drum_fraction', label: 'share of that at the top', unit: '', step: 0.05, decimals: 2, min: 0, max: 1, column: true, tells: 'how slowly the spirit follows the column' },
  { key: 'boiler_loss_w_per_k', label: 'heat lost by the boiler', unit: 'W/K', step: 0.1, decimals: 2, min: 0, max: 100, column: false, tells: 'heat-up time' },
  { key: 'column_loss_w_per_k', label: 'heat lost by the column', unit: 'W/K', step: 0.1, decimals: 2, min: 0, max: 50, column: false, tells: 'take-off, and reflux nobody set' },
  { key: 'metal_kj_per_k', label: 'boiler metal', unit: 'kJ/K', step: 0.5, decimals: 1, min: 0, max: 500, column: false, tells: 'heat-up time' },
  { key: 'column_metal_kj_per_k', label: 'column metal', unit: 'kJ/K', step: 0.1, decimals: 1, min: 0, max: 200, column: false, tells: 'when vapour reaches the top' },
  { key: 'pressure_drop_pa_per_stage', label: 'pressure lost per stage', unit: 'Pa', step: 5, decimals: 0, min: 0, max: 2000, column: true, tells: 'the boiling point in the pot' },
  { key: 'max_takeoff_ml_per_min', label: 'take-off at most', unit: 'mL/min', step: 5, decimals: 0, min: 1, max: 10000, column: false, tells: 'a warning in the plan' },
]

export const valuesOf = (still: Still): StillValue[] => VALUES.filter((value) => still.kind === 'column' || !value.column)
