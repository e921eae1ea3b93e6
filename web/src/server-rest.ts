// Asks the server for what no first paint needs: how alarms are heard, who may come in, the printed sheet.
import { ask, runAddress } from './server'
import type { AlarmOutputs, AlarmReview, Asker, Code, DeviceToken, Guests } from './types'

/** Each output is tried, and ended after its limit of a minute at most. */
const ALARM_TEST_WAIT_MS = 150_000

export const later = {
  alarmOutputs: () => ask<AlarmOutputs>('GET', '/api/alarms/outputs'),
  testAlarms: () => ask<{ outputs: AlarmOutputs['last'] }>('POST', '/api/alarms/test', undefined, ALARM_TEST_WAIT_MS),
  runAlarms: (id: string) => ask<AlarmReview>('GET', runAddress(id, '/alarms')),
  asker: () => ask<Asker>('GET', '/api/access'),
  guests: () => ask<Guests>('GET', '/api/access/guests'),
  makeCode: (role: 'attendant' | 'looker_on') => ask<Code>('POST', '/api/access/codes', { role }),
  makeDevice: (of: { still: string } | { wash: string }, name: string) => ask<DeviceToken>('POST', '/api/access/devices', { ...of, name }),
  turnOut: (id: string) => ask<Guests>('DELETE', `/api/access/guests/${encodeURIComponent(id)}`),
  leave: () => ask<undefined>('POST', '/api/access/leave'),
}

/** The run on one page, to be printed. */
export const sheetAddress = (id: string): string => runAddress(id, '/sheet')
