// What the server and the page say to each other, in the names of the wire.

export type StepKind = 'heat' | 'equalise' | 'foreshots' | 'heads' | 'hearts' | 'tails' | 'stop'
export type StillKind = 'pot' | 'column'
export type ChargeKind = 'sugar wash' | 'grain wash' | 'fruit wash' | 'low wines'

export interface Still {
  name: string
  kind: StillKind
  boiler_litres: number
  elements_watts: number[]
  element_cover_litres: number
  stages: number
  efficiency?: number
  reflux_c?: number
  holdup_litres: number
  drum_fraction: number
  boiler_loss_w_per_k: number
  column_loss_w_per_k: number
  metal_kj_per_k: number
  column_metal_kj_per_k: number
  pressure_drop_pa_per_stage: number
  max_takeoff_ml_per_min: number
}

export interface Charge {
  kind?: ChargeKind
  litres: number
  strength_vol: number
  temperature_c: number
  litres_sd?: number
  strength_sd?: number
  congeners_mg_per_l?: Record<string, number>
}

export interface Site {
  pressure_hpa: number
  ambient_c: number
  coolant_in_c: number
  coolant_l_per_min: number
}

export interface Step {
  do: StepKind
  watts?: number
  reflux_ratio?: number
  takeoff_ml_per_min?: number
  minutes?: number
  until_ml?: number
  until_rise_k?: number
  until_strength_vol?: number
  until_pot_c?: number
  until_total_ml?: number
}

export interface RunPlan {
  format: number
  title: string
  start: string
  still: Still
  charge: Charge
  site: Site
  step: Step[]
}

export interface OwnStill {
  still: Still
  defaulted: string[]
}

export interface House {
  example: { name: string; plans: (RunPlan & { id: string })[] }
  own: OwnStill | null
  zone_offset_minutes: number
}

export interface StepOutcome {
  do: StepKind
  start_s: number
  end_s: number
  ended_by: string
  watts?: number
  litres_20c: number | null
  strength_vol: number | null
  pure_alcohol_l: number | null
  congeners_g_per_hl_pa: Record<string, number> | null
}

export interface ForecastRow {
  time_s: number
  head_c: number
  pot_c: number
  top_stage_vol: number | null
  distillate_vol: number | null
  collected_l: number
  pure_alcohol_l: number
  takeoff_ml_per_min: number
  pot_l?: number
  stages_vol: number[]
}

export interface ForecastJar {
  number: number
  cut: StepKind
  start_s: number
  end_s: number | null
  volume_ml: number
  strength_vol: number | null
  cleanliness: string
}

export interface Warning {
  code: string
  text: string
  value: number
  bound: number
}

export interface Forecast {
  heat_up_min: number
  coolant_on_min: number
  plateau_c: number | null
  steps: StepOutcome[]
  totals: { litres_20c: number; pure_alcohol_l: number; left_in_pot_l: number; energy_kwh: number; coolant_l: number }
  warnings: Warning[]
  rows: ForecastRow[]
  jars?: ForecastJar[]
}

export type RunState =
  | 'before_heat' | 'heating' | 'equalising' | 'foreshots' | 'heads' | 'hearts' | 'slow_hearts'
  | 'tails' | 'cooling_down' | 'interrupted' | 'ended'

export interface Estimate { value: number; low: number; high: number; basis: string }
export interface Expectation { what: string; earliest_s: number; likely_s: number; latest_s: number; basis: string }
export interface Boundary { step_index: number; step: StepKind; earliest_s: number; likely_s: number; latest_s: number }
export type ChannelState = 'live' | 'stale' | 'impossible' | 'frozen' | 'absent'
export interface Channel { name: string; value: number | null; age_s: number | null; state: ChannelState }
export type Priority = 'low' | 'medium' | 'high' | 'critical'

export interface Jar {
  number: number
  cut: StepKind
  start_s: number
  end_s: number | null
  volume_ml: number
  measured: boolean
  strength_vol: number | null
  status: 'filled' | 'open' | 'expected'
  cleanliness: string
}

export interface LiveEvent {
  time_s: number
  kind: 'prompt' | 'alarm' | 'step' | 'state'
  code: string
  priority: Priority
  text: string
  how_sure: string
  do: string
  within_s: number | null
}

export interface RunEnd { time_s: number; ended_by: string; litres_20c: number; pure_alcohol_l: number }

export interface Advice {
  time_s: number
  state: RunState
  step_index: number
  step: StepKind
  step_started_s: number
  headline: string
  expectation: Expectation | null
  next: { code: string; text: string; due_s: number | null } | null
  cannot_know: string | null
  plateau_c: number | null
  plateau_provisional: boolean
  rise_k: number | null
  trigger_rise_k: number | null
  strength_now: Estimate | null
  hearts_strength: Estimate | null
  litres: Estimate | null
  pure_alcohol_l: Estimate | null
  pot_alcohol_l: Estimate | null
  takeoff_ml_per_min: Estimate | null
  heater_w: number | null
  coolant_l_per_min: number | null
  channels: Channel[]
  boundaries: Boundary[]
  jars: Jar[]
  alarms: LiveEvent[]
  seen: string[]
  prompts: LiveEvent[]
  quiet: { code: string; until_s: number; reason: string }[]
  attendant_left_s: number
  end: RunEnd | null
}

export interface Point {
  time_s: number
  head_c: number | null
  pot_c: number | null
  rise_k: number | null
  litres: number | null
  strength_vol: number | null
}

export type Columns = { [K in keyof Point]: Point[K][] } & { time_s: number[] }

export interface RunActionRow { time_s: number; action: string; value?: number | string | null; unit?: string; note?: string; entry?: number }

export interface RunSnapshot {
  id: string
  plan: RunPlan
  mode: 'real' | 'rehearsal'
  speed: number | null
  attendant: boolean | null
  example: boolean
  started_ms: number
  zone_offset_minutes: number
  forecast: Forecast | null
  advice: Advice
  readings: Columns
  gauges: { time_s: number; true_vol: number }[]
  actions: RunActionRow[]
  events: LiveEvent[]
  last_entry: number
}

export interface RunSummary {
  id: string
  title: string
  mode: 'real' | 'rehearsal'
  example: boolean
  state: string
  started_ms: number
  ended: boolean | RunEnd | null
}

export interface Problem {
  title: string
  status: number
  code: string
  field?: string
  value?: string
  bound?: string
  hint?: string
  detail?: string
}

export interface GaugeAnswer { strength_vol_20c: number; strength_sd: number; mass_percent: number; proof_60f: number; density_20c_kg_m3: number }
export interface ReduceAnswer { water_kg: number; water_l_20c: number; product_l_20c: number; contraction_percent: number; warming_k: number | null; naive_water_l: number }
export interface BlendAnswer { litres_20c: number; strength_vol_20c: number; pure_alcohol_l: number; mass_kg: number; contraction_percent: number }
