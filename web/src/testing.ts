// Small hand-made runs for the page's own tests; no result of the model is meant by them.
import type { Outlook } from './estimate'
import type { Band, End, Knowledge } from './knowledge'
import { knowledgeOf } from './of-advice'
import type { Advice, Forecast, LiveEvent, RunPlan } from './types'

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

export function advice(part: Partial<Advice> = {}): Advice {
  return {
    time_s: 4000, state: 'hearts', step_index: 3, step: 'hearts', step_started_s: 3600, headline: 'Collecting hearts.', expectation: null, next: null,
    cannot_know: null, plateau_c: 78, plateau_provisional: false, rise_k: 0.05, trigger_rise_k: 0.4, strength_now: null, hearts_strength: null, litres: null,
    pure_alcohol_l: null, pot_alcohol_l: null, takeoff_ml_per_min: null, heater_w: 1800, coolant_l_per_min: 1.8, channels: [], boundaries: [], jars: [],
    alarms: [], seen: [], prompts: [], quiet: [], attendant_left_s: 600, end: null, outlook: null, ...part,
  }
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
    heat_up_min: 33, coolant_on_min: 31, plateau_c: 78,
    steps: ends.map((end, i) => ({ do: plan.step[i]?.do ?? 'heat', start_s: ends[i - 1] ?? 0, end_s: end, ended_by: 'minutes', litres_20c: i > 2 ? 0.4 : null, strength_vol: i > 2 ? 94 : null, pure_alcohol_l: i > 2 ? 0.376 : null, congeners_g_per_hl_pa: null, watts: 1800, head_end_c: 78, pot_end_c: 95 })),
    totals: { litres_20c: 1, pure_alcohol_l: 0.94, left_in_pot_l: 19, left_in_pot_vol: 4, strength_vol: 94, energy_kwh: 4, coolant_l: 200 }, warnings: [], rows,
    jars: [], balance: { ethanol_rel: 0, total_rel: 0 }, end_s: 8000, ended_by: 'plan',
  }
}

export const around = (p50: number, half: number): Band => ({ p025: p50 - 1.6 * half, p10: p50 - half, p50, p90: p50 + half, p975: p50 + 1.6 * half })

/** An outlook in the middle of the hearts of [`advice`], made at its moment. */
export function outlook(part: Partial<Outlook> = {}): Outlook {
  return {
    made_at_s: 4000, plan_end: { time_s: around(7200, 700), litres: around(1.1, 0.08), strength_vol: around(94.1, 0.3) }, step_end_s: around(6000, 500), end: null,
    litres_to_come: around(0.8, 0.08), strength_now: around(94.6, 0.2), strength_so_far: around(94.8, 0.2), pot_alcohol_l: around(1.2, 0.1), jars_needed: around(3, 1),
    stop_s: around(8200, 800), charge_litres: around(20, 0.3), charge_strength_vol: around(8.5, 0.3), faults: [], untrusted: [],
    evidence: { chi_square: 120, effective_measurements: 118, prior_distance: 0.8, effective_draws: 160, simulations: 14, shares: [] },
    would_help: [{ action: 'gauge_charge', text: 'gauge the charge', end_gain: 0.33, litres_gain: 0.4 }], ...part,
  }
}

/** What is known in the middle of the hearts of [`advice`]. */
export function known(part: Partial<Knowledge> = {}): Knowledge {
  return { ...knowledgeOf(advice(), plan, STARTED_MS), ...part }
}
export const STARTED_MS = Date.UTC(2026, 9, 3, 6, 12)

/** An end of a step to come. */
export function end(step_index: number | null, p50: number, half: number, part: Partial<End> = {}): End {
  return { what: 'step_end', step_index, words: 'Hearts should end', short: 'hearts end', ends_by: null, at: around(p50, half), made_at_s: 4000, evidence: 'measured', basis: '', unsure: null, ...part }
}
