// Names for what the estimator says, out of the types generated from the server's own description.
import type { components } from './api'
import type { Answer } from './types'

type Schema = components['schemas']

export type Trait = Schema['TraitWire']
/** Mean and standard deviation: of the logarithm of a ratio to what is stated, or in K. */
export type Belief = Schema['BeliefWire']
export type Character = Schema['CharacterWire']
/** A still as known from its real runs, or (`rehearsed`) the simulated still of that name from rehearsals. */
export type KnownStill = Answer<Schema['KnownStillWire']>
/** What several runs gave together, believed instead of what was stated before. */
export type Calibrated = Answer<Schema['CalibratedWire']>
export type Parameter = Schema['ParameterWire']
/** A fit of a still to its runs, and how far it is. */
export type Fit = Answer<Schema['FitWire']>

export type Cause = Schema['CauseWire']
export type AlcoholBalance = Schema['AlcoholBalanceWire']
