import { expect, it } from 'vitest'
import type { Ask } from './recorder.svelte'
import { likelier } from './unlikely'

const meant = (ask: Ask, field: string, suggest: number) => likelier({ what: '', suggest, field, ask, words: '' })?.body

it('puts what was meant in place of the doubted number, and of no other', () => {
  expect(meant({ to: 'actions', body: { action: 'takeoff', value: 110, unit: 'ml_per_min' } }, 'value', 11)).toMatchObject({ value: 11, unit: 'ml_per_min' })
  expect(meant({ to: 'actions', body: { action: 'gauge', value: 92, unit: 'vol_at_215.0' } }, 'celsius', 21.5)).toMatchObject({ value: 92, unit: 'vol_at_21.5' })
  const jar = { jar: 2, volume_ml: 2500, apparent_vol: 91, temperature_c: 20 }
  expect(meant({ to: 'jars', body: jar }, 'volume_ml', 250)).toEqual({ ...jar, volume_ml: 250 })
  expect(meant({ to: 'correct', body: { entry: 9, jar } }, 'temperature_c', 2)).toEqual({ entry: 9, jar: { ...jar, temperature_c: 2 } })
  const reading = { head_c: 784, pot_c: 92 }
  expect(meant({ to: 'readings', body: { rows: [reading], by_hand: true, entered: [{ field: 'head_c', value: 1443, unit: 'F' }] } }, 'head_c', 78.4)).toEqual({ rows: [{ head_c: 78.4, pot_c: 92 }], by_hand: true, entered: [] })
  expect(meant({ to: 'correct', body: { entry: 9, reading } }, 'head_c', 78.4)).toEqual({ entry: 9, reading: { head_c: 78.4, pot_c: 92 } })
  expect(likelier({ what: '', suggest: null, field: 'value', ask: { to: 'actions', body: { action: 'heater', value: 1 } }, words: '' })).toBeNull()
})
