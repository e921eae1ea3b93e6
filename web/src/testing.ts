// Small hand-made runs for the page's own tests; no result of the model is meant by them.
import type { Band, End, Knowledge, Value } from './knowledge'
import type { Forecast, LiveEvent, RunPlan } from './types'

export const plan: RunPlan = {
  format: 1, title: 'Test run', start: '2026-10-03T08:12:00+02:00',
  still: {
    name: 'Test still', kind: 'column', boiler_litres: 28, elements_watts: [2000, 1500], element_cover_litres: 4, stages: 10, holdup_litres: 0.28,
    drum_fraction: 0.15, boiler_loss_w_per_k: 3, column_loss_w_per_k: 0.5, metal_kj_per_k: 3.6, column_metal_kj_per_k: 1.8, pressure_drop_pa_per_stage: 25,
    max_takeoff_ml_per_min: 80,
  },
  charge: { kind: 'fruit wash', litres: 20, strength_vol: 8.5, temperature_c: 18, litres_sd: 0.3, strength_sd: 0.3 },
  site: { pressure_hpa: 1004, ambient_c: 17, coolant_in_c: 13, coolant_l_per_min: 1.8 },
  step: [
    { do: 'heat', watts: 3500 }, { do: 'equalise', watts: 1800, minutes: 20 }, { do: 'foreshots', takeoff_ml_per_min: 5, until_ml: 40 },
    { do: 'hearts', takeoff_ml_per_min: 22, until_rise_k: 0.4 }, { do: 'hearts', reflux_ratio: 9, until_rise_k: 0.6 }, { do: 'tails', reflux_ratio: 2, until_strength_vol: 40 }, { do: 'stop' },
  ],
}

export function said(part: Partial<LiveEvent> = {}): LiveEvent {
  return { time_s: 0, kind: 'prompt', code: 'heads_done', priority: 'high', text: 'The heads are drawn.', how_sure: '', do: 'Begin the hearts.', within_s: 300, ...part }
}

/** A forecast whose steps end at round times and whose collected litres grow evenly from 3600 s. */
export function forecast(): Forecast {
  const ends = [2000, 3200, 3600, 6000, 7000, 8000]
  const rows = Array.from({ length: 134 }, (_, i) => ({
    time_s: i * 60, head_c: 78 + Math.max(0, i * 60 - 5000) / 5000, pot_c: 95, top_stage_vol: 94, distillate_vol: 94, collected_l: Math.max(0, i * 60 - 3600) / 4400,
    pure_alcohol_l: 0, takeoff_ml_per_min: 20, pot_l: 19, stages_vol: [5, 40, 60, 90],
  }))
  return {
    heat_up_min: 33, head_jump_min: 33, coolant_on_min: 31, plateau_c: 78,
    steps: ends.map((end, i) => ({ do: plan.step[i]?.do ?? 'heat', name: plan.step[i]?.do ?? 'heat', start_s: ends[i - 1] ?? 0, end_s: end, ended_by: 'minutes', litres_20c: i > 2 ? 0.4 : null, strength_vol: i > 2 ? 94 : null, pure_alcohol_l: i > 2 ? 0.376 : null, congeners_g_per_hl_pa: null, watts: 1800, head_end_c: 78, pot_end_c: 95, drum_end_vol: i > 2 ? 94 : null })),
    totals: { litres_20c: 1, pure_alcohol_l: 0.94, left_in_pot_l: 19, left_in_pot_vol: 4, strength_vol: 94, energy_kwh: 4, coolant_l: 200, congeners_mg: {} }, warnings: [], rows,
    jars: [], balance: { ethanol_rel: 0, total_rel: 0 }, end_s: 8000, ended_by: 'plan',
  }
}

export const around = (p50: number, half: number): Band => ({ p025: p50 - 1.6 * half, p10: p50 - half, p50, p90: p50 + half, p975: p50 + 1.6 * half })

const exactly = (value: number): Band => around(value, 0)
export const value = (at: Band): Value => ({ at, basis: 'all measurements', made_at_s: 4000 })

/** What is known in the middle of the hearts of [`plan`]. */
export function known(part: Partial<Knowledge> = {}): Knowledge {
  return {
    time_s: 4000, state: 'hearts', step: { index: 3, kind: 'hearts', name: 'hearts', slow: false, started_s: 3600 }, headline: 'Collecting hearts.', ends: [], instruction: null,
    rise: null, strength_now: null, hearts: null, drawn: null, hearts_to_come_l: null, hearts_in_all_l: null, jars_to_come: null,
    account: { charged_l: exactly(1.7), drawn_l: exactly(0.3), held_l: exactly(0.1), lost_l: exactly(0), left_l: around(1.3, 0.1) },
    charge: { litres: around(20, 0.3), strength_vol: around(8.5, 0.3) }, takeoff_ml_per_min: null, heater_w: 1800, coolant_l_per_min: 1.8, channels: [], jars: [],
    alarms: [], seen: [], alarm_list: [], suppressed: [], alarms_in_10_min: 0, alarm_flood: false, prompts: [], quiet: [], attendant_left_s: 600, doubts: [], unknown: [], would_help: [], estimate_made_at_s: null, estimate_fresh: false, end: null, ...part,
  }
}
export const STARTED_MS = Date.UTC(2026, 9, 3, 6, 12)

/** An end of a step to come. */
export function end(step_index: number | null, p50: number, half: number, part: Partial<End> = {}): End {
  return { what: 'step_end', step_index, words: 'Hearts should end', short: 'hearts end', ends_by: null, at: around(p50, half), made_at_s: 4000, evidence: 'measured', basis: '', unsure: null, ...part }
}
