// What is asked from the jars to the bottle: loaded with the pages that ask it.
import { ask, runAddress } from '../server'
import type { BottlingAnswer, BottlingAsk, Cuts, StepsAnswer, StepsAsk } from '../types'

/** The jars of a run, what a choice of them comes to, against the limits of a category. */
export function askCuts(id: string, jars: number[] | null, category: string, seed: number | null): Promise<Cuts> {
  const asked = new URLSearchParams({ category })
  if (jars) asked.set('jars', jars.join(','))
  if (seed !== null) asked.set('seed', String(seed))
  return ask<Cuts>('GET', runAddress(id, `/cuts?${asked}`))
}

export const askSteps = (down: StepsAsk): Promise<StepsAnswer> => ask<StepsAnswer>('POST', '/api/bench/steps', down)
export const askBottling = (tank: BottlingAsk): Promise<BottlingAnswer> => ask<BottlingAnswer>('POST', '/api/bench/bottling', tank)
