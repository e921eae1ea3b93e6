// Asks for instruments and upkeep of a still.
import { ask } from '../server'
import type { CalibrateAsk, Instrument, InstrumentAsk, ReadingRow, Upkeep, UpkeepAsk, UpkeepDoneAsk } from '../types'

const at = (still: string, what: 'instruments' | 'upkeep'): string => `/api/stills/${encodeURIComponent(still)}/${what}`

export const tending = {
  instruments: (still: string) => ask<Instrument[]>('GET', at(still, 'instruments')),
  state: (still: string, one: InstrumentAsk) => ask<Instrument[]>('PUT', at(still, 'instruments'), one),
  calibrate: (still: string, one: CalibrateAsk) => ask<Instrument[]>('POST', at(still, 'instruments'), one),
  drop: (still: string, channel: string) => ask<Instrument[]>('DELETE', `${at(still, 'instruments')}?channel=${encodeURIComponent(channel)}`),
  upkeep: (still: string) => ask<Upkeep[]>('GET', at(still, 'upkeep')),
  keepUp: (still: string, one: UpkeepAsk) => ask<Upkeep[]>('PUT', at(still, 'upkeep'), one),
  did: (still: string, one: UpkeepDoneAsk) => ask<Upkeep[]>('POST', at(still, 'upkeep'), one),
  leave: (still: string, name: string) => ask<Upkeep[]>('DELETE', `${at(still, 'upkeep')}?name=${encodeURIComponent(name)}`),
}

/** The channels an instrument can read: columns of the readings, which the type holds them to. */
export const CHANNELS = [
  ['head_c', 'head thermometer'], ['pot_c', 'pot thermometer'], ['coolant_in_c', 'coolant inlet thermometer'], ['coolant_out_c', 'coolant outlet thermometer'],
  ['coolant_l_per_min', 'coolant flow meter'], ['heater_w', 'heater power meter'], ['pressure_hpa', 'barometer'], ['ambient_c', 'ambient thermometer'],
  ['vent_c', 'vent thermometer'], ['product_c', 'spout thermometer'], ['receiver_kg', 'scale under the jar'], ['column_c', 'column thermometer'],
  ['pot_kpa', 'boiler pressure gauge'], ['vapour_lel', 'vapour sensor'], ['room_co2_ppm', 'CO2 sensor'],
] as const satisfies readonly (readonly [keyof ReadingRow, string])[]

/** The beginning of a day of this device, as the server takes a moment; none where no day was picked. */
export function startOf(date: string): string | null {
  const moment = new Date(`${date}T00:00:00`)
  return date && !Number.isNaN(moment.getTime()) ? moment.toISOString() : null
}
