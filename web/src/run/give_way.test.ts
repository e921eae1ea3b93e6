import { expect, test } from 'vitest'
import { GaveWay } from './give_way'

test('a pad opened under an alarm stays when the alarm is out of hearing for a moment, or behind another', () => {
  const gaveWay = new GaveWay()
  const [lost, other] = [{ code: 'coolant_loss', time_s: 5400 }, { code: 'data_lost', time_s: 5460 }]
  expect([lost, lost, other, lost, other].map((alarm) => gaveWay.first(alarm))).toEqual([true, false, true, false, false])
  // Raised again later it is another.
  expect(gaveWay.first({ ...lost, time_s: 7200 })).toBe(true)
})
