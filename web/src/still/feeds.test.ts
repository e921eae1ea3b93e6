import { expect, test } from 'vitest'
import type { FeedValue, Feeds } from '../types'
import { ageWords, byChannel, elsewhereWords, feedsOf, feedsOfWash, keptWords, rawWords, rowsWords, sentenceOf } from './feeds'

const value = (part: Partial<FeedValue>): FeedValue => ({ channel: 'head_c', words: 'head thermometer', source: 'head', kind: 'one_wire', path: '/x', raw: 78.4, raw_unit: 'C', value: 78.4, unit: '°C', age_s: 1.04, every_s: 2, quality: 'good', speaks: true, why: null, ...part })

test('a raw number stands as it came, with its own unit', () => {
  expect(rawWords(value({ raw: 172.9, raw_unit: 'F' }))).toBe('172.9\u00a0°F')
  expect(rawWords(value({ raw: -127, raw_unit: 'C' }))).toBe('\u2212127\u00a0°C')
  expect(rawWords(value({ raw: 0.30000000000000004, raw_unit: '' }))).toBe('0.3')
  expect(rawWords(value({ raw: 1.052, raw_unit: 'SG' }))).toBe('1.052')
  expect(rawWords(value({ raw: null }))).toBe('nothing yet')
})

test('age and rate are told; a lost one says since when', () => {
  expect(ageWords(value({}))).toBe('1.0\u00a0s old, every 2.0\u00a0s')
  expect(ageWords(value({ age_s: 48, quality: 'stale', every_s: null }))).toBe('lost 48\u00a0s')
  expect(ageWords(value({ age_s: null }))).toBe('')
})

test('the sentence counts what comes and names what does not, whoever stands behind it', () => {
  const values = [value({ quality: 'stale', speaks: false }), value({ source: 'box', speaks: true }), value({ channel: 'pot_c', words: 'pot thermometer', quality: 'bad' })]
  const channels = byChannel(values)
  expect(channels.map(({ channel, rows }) => [channel, rows.length])).toEqual([['head_c', 2], ['pot_c', 1]])
  expect(sentenceOf(channels)).toBe('1 of 2 channels come. Not to be trusted: pot thermometer.')
  expect(sentenceOf(byChannel(values.slice(0, 2)))).toBe('The one channel comes.')
})

test('a still that the file does not name says which ones it does', () => {
  const feeds: Feeds = { file: 'feeds.toml', refused: null, broker: null, washes: [{ wash: 'Plum', rows: 0, row_age_s: null, refused: null, values: [] }], stills: [{ still: 'Shed column', rows: 0, row_age_s: null, refused: null, values: [] }] }
  expect(feedsOf(feeds, 'Shed column')?.still).toBe('Shed column')
  expect(feedsOf(feeds, 'Shed Column')).toBeNull()
  expect([{ id: 'wash-1', title: 'Plum' }, { id: 'Plum', title: 'x' }, { id: 'a', title: 'Pear' }].map((wash) => feedsOfWash(feeds, wash)?.wash)).toEqual(['Plum', 'Plum', undefined])
  expect(elsewhereWords(feeds, 'Shed Column')).toContain('“Shed column”, and not “Shed Column”')
  expect(elsewhereWords({ ...feeds, stills: [] }, 'x')).toContain('by hand')
})

test('rows that went into a run are counted; where none does the reason is told as a sentence', () => {
  const of = { still: 'x', rows: 0, values: [] }
  // The server leaves out what is not there.
  expect(rowsWords(of as never)).toBe('No row of them has gone into a run yet.')
  expect(rowsWords({ ...of, row_age_s: null, refused: 'no run of the still x is going on' })).toBe('No row of them has gone into a run yet. No run of the still x is going on.')
  expect(rowsWords({ ...of, rows: 12, row_age_s: 3, refused: null })).toBe('12 rows have gone into a run, the last 3\u00a0s ago.')
})

test('of a wash it is told what is in its log, and why nothing is taken', () => {
  expect(keptWords({ rows: 1, row_age_s: 3, refused: null })).toBe('One row of it is in the log, the last 3\u00a0s ago: one an hour, sooner where it moved; of acid and weight one in eight hours.')
  expect(keptWords({ rows: 0, row_age_s: null, refused: 'wash Plum: it is over' })).toContain('None of it is in the log yet: ')
})
