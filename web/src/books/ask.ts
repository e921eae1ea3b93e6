// What is asked of the account of pure alcohol: loaded with the page that asks it.
import { ask, runAddress } from '../server'
import type { AccountBalance, AccountEntry, AccountLot, Acts, EnterAsk, LotRecall, RunIntoBookAsk, StockTakeAsk } from '../types'

type Profile = 'metric' | 'us' | 'eu'
export interface Finding { check: string; entry: number | null; text: string }

/** Entries of one part of the list. */
export const PART = 20

const whose = (example: boolean): string => (example ? '&example=true' : '')
const of = (what: string, profile: Profile, more = ''): string => `/api/book/${what}?profile=${profile}${more}`

export const book = {
  balance: (profile: Profile, example = false) => ask<AccountBalance>('GET', of('balance', profile, whose(example))),
  /** The newest entries before a serial, the oldest first. */
  entries: (profile: Profile, before: number, limit = PART, example = false) => ask<AccountEntry[]>('GET', of('entries', profile, `&before=${before}&limit=${limit}${whose(example)}`)),
  lots: (profile: Profile, example = false) => ask<AccountLot[]>('GET', of('lots', profile, whose(example))),
  lot: (name: string, profile: Profile, example = false) => ask<LotRecall>('GET', of(`lots/${encodeURIComponent(name)}`, profile, whose(example))),
  acts: () => ask<Acts>('GET', '/api/book/kinds'),
  findings: (profile: Profile) => ask<Finding[]>('GET', of('findings', profile)),
  digest: (profile: Profile) => ask<{ entries: number; digest: string }>('GET', of('digest', profile)),
  enter: (entry: EnterAsk) => ask<AccountEntry>('POST', '/api/book/entries', entry),
  count: (counted: StockTakeAsk) => ask<AccountEntry>('POST', '/api/book/stock-take', counted),
  close: (upto: string, by: string) => ask<AccountEntry>('POST', '/api/book/close', { upto, by }),
  takeRun: (id: string, taken: RunIntoBookAsk) => ask<AccountEntry[]>('POST', runAddress(id, '/book'), taken),
}

export const tableAddress = (profile: Profile): string => of('table', profile)
export const pageAddress = (profile: Profile): string => of('page', profile)
