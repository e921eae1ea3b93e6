// What is asked from the jars to the bottle: loaded with the pages that ask it.
import { ask, runAddress } from '../server'
import type { ActAnswer, ActAsk, AccountLot, BottlingAnswer, BottlingAsk, CarbonAnswer, CarbonAsk, CaskAnswer, CaskAsk, Cuts, MacerateAnswer, MacerateAsk, Nosed, NosedAsk, StepsAnswer, StepsAsk } from '../types'

/** The jars of a run, what a choice of them comes to, against the limits of a category. */
export function askCuts(id: string, jars: number[] | null, category: string, seed: number | null): Promise<Cuts> {
  const asked = new URLSearchParams({ category })
  if (jars) asked.set('jars', jars.join(','))
  if (seed !== null) asked.set('seed', String(seed))
  return ask<Cuts>('GET', runAddress(id, `/cuts?${asked}`))
}

export const askSteps = (down: StepsAsk): Promise<StepsAnswer> => ask<StepsAnswer>('POST', '/api/bench/steps', down)
export const askBottling = (tank: BottlingAsk): Promise<BottlingAnswer> => ask<BottlingAnswer>('POST', '/api/bench/bottling', tank)
export const askCarbon = (spirit: CarbonAsk): Promise<CarbonAnswer> => ask<CarbonAnswer>('POST', '/api/bench/carbon', spirit)
export const askMacerate = (spirit: MacerateAsk): Promise<MacerateAnswer> => ask<MacerateAnswer>('POST', '/api/bench/macerate', spirit)
export const askCask = (cask: CaskAsk): Promise<CaskAnswer> => ask<CaskAnswer>('POST', '/api/bench/cask', cask)

/** What was done at the bench, looked at or entered in the book; sent again it is entered once. */
export const enterAct = (act: ActAsk): Promise<ActAnswer> => ask<ActAnswer>('POST', '/api/book/acts', act)
export const bookLots = (): Promise<AccountLot[]> => ask<AccountLot[]>('GET', '/api/book/lots')

/** What noses said of the jars of a run, round by round; the last words hold. */
export const askNoses = (id: string): Promise<Nosed[]> => ask<Nosed[]>('GET', runAddress(id, '/noses'))
export const keepNoses = (id: string, nosed: NosedAsk): Promise<Nosed[]> => ask<Nosed[]>('POST', runAddress(id, '/noses'), nosed)
