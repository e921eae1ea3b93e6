// The bench of raw channels in words: what each source sent last, how old it is, whose word counts.
import type { FeedValue, Feeds, FeedsOf, WashFeedsOf } from '../types'
import { asSentence } from '../run/sentence'
import { duration, figure } from '../units'

/** A number does not part from its unit. */
const GAP = '\u00a0'

/** A raw number as it came: no more figures than a source sends, none lost. */
export function rawWords(value: Pick<FeedValue, 'raw' | 'raw_unit'>): string {
  if (value.raw === null) return 'nothing yet'
  const text = Number(value.raw.toPrecision(7)).toString().replace('-', '\u2212')
  const unit = unitWords(value.raw_unit)
  return unit ? `${text}${GAP}${unit}` : text
}

/** A gravity has no unit, and the name of an acidity is its unit. */
export const unitWords = (unit: string): string => (unit === 'C' || unit === 'F' ? `°${unit}` : unit === 'SG' || unit === 'pH' ? '' : unit)

/** "1 s old, every 2 s": how old what came last is, and how often it comes. */
export function ageWords(value: Pick<FeedValue, 'age_s' | 'every_s' | 'quality'>): string {
  if (value.age_s === null) return ''
  const age = value.quality === 'stale' ? `lost ${duration(value.age_s)}` : `${value.age_s < 10 ? figure(value.age_s, 1) + GAP + 's' : duration(value.age_s)} old`
  return value.every_s === null ? age : `${age}, every ${value.every_s < 10 ? figure(value.every_s, 1) + GAP + 's' : duration(value.every_s)}`
}

export interface ChannelRows { channel: string; words: string; unit: string; rows: FeedValue[] }

/** The values of a still, channel by channel, in the server's order: who comes first speaks first. */
export function byChannel(values: readonly FeedValue[]): ChannelRows[] {
  const list: ChannelRows[] = []
  for (const value of values) {
    const found = list.find(({ channel }) => channel === value.channel)
    if (found) found.rows.push(value)
    else list.push({ channel: value.channel, words: value.words, unit: value.unit, rows: [value] })
  }
  return list
}

/** One sentence: how many channels come, and by name those from which nothing that can be true comes. */
export function sentenceOf(channels: readonly ChannelRows[]): string {
  const silent = channels.filter(({ rows }) => !rows.some((row) => row.speaks && row.quality === 'good'))
  const come = channels.length - silent.length
  const names = silent.map(({ words }) => words)
  const all = names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names[names.length - 1]}`
  const first = channels.length === 1 ? (come ? 'The one channel comes.' : '') : come === channels.length ? `All ${come} channels come.` : `${come} of ${channels.length} channels come.`
  return [first, silent.length ? `Not to be trusted: ${all}.` : ''].filter(Boolean).join(' ')
}

/** The feeds of a still by its name, as its plans have it. */
export const feedsOf = (feeds: Feeds, still: string): FeedsOf | null => feeds.stills.find((one) => one.still === still) ?? null

/** The feeds of a wash by its title, or by its name in the record. */
export const feedsOfWash = (feeds: Feeds, wash: { id: string; title: string }): WashFeedsOf | null => feeds.washes.find((one) => one.wash === wash.id || one.wash === wash.title) ?? null

/** Stills of the file, where the one that is looked for is not among them: a name written otherwise is seen at once. */
export function elsewhereWords(feeds: Feeds, still: string): string {
  const names = feeds.stills.map((one) => `“${one.still}”`)
  return names.length ? `The file of feeds names ${names.join(', ')}, and not “${still}”: a feed belongs to the still whose name it has.` : 'The program reads no probe of this still by itself: readings come by hand, or from a device that sends them.'
}

/** What became of them: rows that went into a run, and why none does now. */
export function rowsWords(of: Pick<FeedsOf, 'rows' | 'row_age_s' | 'refused'>): string {
  const ago = of.row_age_s === null || of.row_age_s === undefined ? '' : `, the last ${duration(of.row_age_s)} ago`
  const count = of.rows === 0 ? 'No row of them has gone into a run yet' : of.rows === 1 ? 'One row has gone into a run' : `${of.rows} rows have gone into a run`
  return [`${count}${ago}.`, asSentence(of.refused ?? '')].filter(Boolean).join(' ')
}

/** What of a wash's readings is in its log: few, since it moves in hours; and why none is taken now. */
export function keptWords(of: Pick<WashFeedsOf, 'rows' | 'row_age_s' | 'refused'>): string {
  const ago = of.row_age_s === null || of.row_age_s === undefined ? '' : `, the last ${duration(of.row_age_s)} ago`
  const count = of.rows === 0 ? 'None of it is in the log yet' : of.rows === 1 ? 'One row of it is in the log' : `${of.rows} rows of it are in the log`
  return [`${count}${ago}: one an hour, sooner where it moved; of acid and weight one in eight hours.`, asSentence(of.refused ?? '')].filter(Boolean).join(' ')
}
