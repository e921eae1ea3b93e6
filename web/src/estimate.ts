// What the estimator says, field by field as the server sends it; replaced by the generated types when they carry it.

/** The 2.5, 10, 50, 90 and 97.5 % quantiles: likely value, 80 % and 95 % bands. */
export interface Quantiles { p025: number; p10: number; p50: number; p90: number; p975: number }

export interface EndForecast { time_s: Quantiles; litres: Quantiles; strength_vol: Quantiles }

export interface Fault { kind: string; channel: string; probability: number; since_s: number; why: string }
export interface Untrusted { answer: string; why: string }
export interface Share { of: string; litres: number; end: number }
export interface Help { action: string; text: string; end_gain: number; litres_gain: number }
export interface Evidence { chi_square: number; effective_measurements: number; prior_distance: number; effective_draws: number; shares: Share[] }

export interface Outlook {
  made_at_s: number
  plan_end: EndForecast | null
  step_end_s: Quantiles | null
  end: EndForecast | null
  litres_to_come: Quantiles | null
  strength_now: Quantiles
  strength_so_far: Quantiles | null
  pot_alcohol_l: Quantiles
  jars_needed: Quantiles | null
  stop_s: Quantiles | null
  charge_litres: Quantiles
  charge_strength_vol: Quantiles
  faults: Fault[]
  untrusted: Untrusted[]
  evidence: Evidence
  would_help: Help[]
}

export type Trait = 'separation' | 'heat_loss' | 'heater' | 'hold_up' | 'head_offset' | 'pot_offset' | 'valve' | 'yield'
/** Mean and standard deviation: of the logarithm of a ratio to what is stated, or in K. */
export interface Belief { of: Trait; mean: number; sd: number }
export interface Learned { title: string; start: string; run: Belief[]; after: Belief[] }
export interface Character { beliefs: Belief[]; history: Learned[] }
/** A still as known from its real runs, or (`rehearsed`) the simulated still of that name from rehearsals. */
export interface KnownStill { name: string; rehearsed: boolean; runs: number; character: Character; lessons: unknown[]; resets: { stored_ms: number; reason: string; lessons: number }[] }

export interface Cause { code: string; text: string; odds: number }
export interface AlcoholBalance { charged_l: number; collected_l: number; left_l: number; missing_l: number; missing_sd_l: number; causes: Cause[] }
