import { expect, test } from 'vitest'
import { agoProblem, channelField, readingGroups } from './pads'

const ALL = ['head_c', 'pot_c', 'coolant_in_c', 'coolant_out_c', 'coolant_l_per_min', 'heater_w', 'pressure_hpa', 'ambient_c', 'vent_c', 'product_c', 'receiver_kg', 'column_c', 'pot_kpa', 'vapour_lel', 'room_co2_ppm']

test('every channel of a run can be entered by hand, each once, three to a pad at most', () => {
  const groups = readingGroups(ALL)
  expect(groups.flatMap(({ channels }) => channels).sort()).toEqual([...ALL].sort())
  expect(Math.max(...groups.map(({ channels }) => channels.length))).toBeLessThanOrEqual(3)
  expect(readingGroups(['pressure_hpa'])).toEqual([{ name: 'heat, air', channels: ['pressure_hpa'] }])
})

test('a channel is asked for in the unit of its name, and never with what a probe reads', () => {
  for (const name of ALL) {
    const field = channelField(name, 'x thermometer')
    expect(field.value).toBeNull()
    expect(field.quantity === 'temperature' || field.unit !== '', name).toBe(true)
    expect(field.label).toBe('x')
  }
  expect(channelField('pot_kpa', 'boiler pressure')).toMatchObject({ unit: 'kPa', decimals: 2 })
})

test('what a person types is checked against the age of the run', () => {
  expect(agoProblem(5, 300)).toBe('')
  expect(agoProblem(6, 300)).toBe('From 0 to 5 min ago.')
  expect(agoProblem(-1, 300)).toBe('It cannot happen later than now.')
  expect(agoProblem(null, 300)).toContain('a number is needed')
})
