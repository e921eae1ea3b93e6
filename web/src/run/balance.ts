// Where the alcohol of a run went: the pieces of the picture, and the likeliest cause in words.
import type { AlcoholBalance, Cause } from '../estimate'
import { litres } from '../units'

export interface Piece { name: string; from: number; to: number; look: 'collected' | 'open' | 'left' | 'missing' | 'over' }

/** What was charged, laid out from 0: collected, left behind, and what is missing or too much. */
export function pieces(balance: AlcoholBalance): Piece[] {
  const collected = Math.max(balance.collected_l, 0)
  const drawn = collected + Math.max(balance.account?.not_gauged_l ?? 0, 0)
  const found = drawn + Math.max(balance.left_l, 0)
  const list: Piece[] = [
    { name: 'collected', from: 0, to: collected, look: 'collected' },
    { name: 'drawn and not gauged', from: collected, to: drawn, look: 'open' },
    { name: 'left in the still', from: drawn, to: found, look: 'left' },
  ]
  if (balance.missing_l > 0) list.push({ name: 'missing', from: found, to: found + balance.missing_l, look: 'missing' })
  else if (balance.missing_l < 0) list.push({ name: 'too much', from: Math.max(found + balance.missing_l, 0), to: found, look: 'over' })
  return list.filter((piece) => piece.to - piece.from > 1e-6)
}

/** Whether enough was gauged to tell anything. */
export const tells = (balance: AlcoholBalance): boolean => balance.account?.verdict !== 'cannot_tell'

/** Whether the gauges could see the gap at all. */
export const seeable = (balance: AlcoholBalance): boolean => Math.abs(balance.missing_l) > 2 * balance.missing_sd_l

export function balanceSentence(balance: AlcoholBalance): string {
  if (!tells(balance)) return 'Where the alcohol went cannot be told: too little was gauged.'
  const gap = litres(Math.abs(balance.missing_l))
  if (!seeable(balance)) return `The alcohol adds up, within the ${litres(2 * balance.missing_sd_l)} that gauging and measuring can tell.`
  return balance.missing_l > 0 ? `${gap} of pure alcohol is missing.` : `${gap} more pure alcohol was found than was charged.`
}

export function causeWords(cause: Cause): string {
  const text = cause.text.replace(/[.\s]+$/, '')
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}: ${odds(cause.odds)}`
}

/** How sure, in tenths a person can picture. */
export function odds(probability: number): string {
  const tenths = Math.round(probability * 10)
  if (tenths >= 10) return 'all but certain'
  if (tenths <= 0) return 'hardly likely'
  return `${tenths} in 10`
}
