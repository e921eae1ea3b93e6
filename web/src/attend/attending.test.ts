import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { attending, LOOK_MS } from './attending.svelte'

const run = { id: 'a', title: 'A', still: 'S', mode: 'real', example: false, speed: null, need: 'comes', words: 'x', in_s: 60, now: null }
let answers: (object | number | null)[] = []
let asked = 0

beforeEach(() => {
  vi.useFakeTimers()
  asked = 0
  // An object is an answer, a number a refusal, null no answer at all; the last one repeats.
  vi.stubGlobal('fetch', vi.fn(async () => {
    const answer = answers[Math.min(asked, answers.length - 1)] ?? null
    asked += 1
    if (answer === null) throw new TypeError('nobody there')
    return typeof answer === 'number' ? Response.json({ title: 'no', status: answer, code: 'no' }, { status: answer }) : Response.json(answer)
  }))
})
afterEach(() => { vi.useRealTimers(); vi.unstubAllGlobals() })
const looks = (count: number): Promise<unknown> => vi.advanceTimersByTimeAsync(LOOK_MS * count)

test('two looks without an answer take everything off the page, and say so where a run was going on', async () => {
  answers = [{ now_ms: 0, next: 'a', runs: [run] }, null]
  const stop = attending.use()
  await looks(0.5)
  expect([attending.now?.runs.length, attending.lost]).toEqual([1, false])
  await looks(1)
  expect([attending.now?.runs.length, attending.lost]).toEqual([1, false])
  await looks(1)
  expect([attending.now, attending.lost]).toEqual([null, true])
  answers = [{ now_ms: 0, next: null, runs: [] }]
  await looks(1)
  expect([attending.now?.runs.length, attending.lost]).toEqual([0, false])
  stop()
  expect(attending.now).toBeNull()
})

test('without a run nothing is said to be lost; asked by two it looks once, and stops with the last', async () => {
  answers = [{ now_ms: 0, next: null, runs: [] }, null]
  const stops = [attending.use(), attending.use()]
  await looks(4)
  expect([attending.now, attending.lost]).toEqual([null, false])
  expect(asked).toBe(5)
  for (const stop of [...stops, ...stops]) stop()
  await looks(3)
  expect(asked).toBe(5)
})

test('a program that does not know the question is not asked again', async () => {
  answers = [404]
  const stop = attending.use()
  await looks(5)
  expect([asked, attending.asked, attending.lost]).toEqual([1, true, false])
  stop()
})
