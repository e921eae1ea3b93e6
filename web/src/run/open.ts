// Which pads there are.
import type { LogEntry } from '../types'

export type PadName = 'reading' | 'takeoff' | 'heater' | 'coolant' | 'note' | 'quiet' | 'keys'

/** What is open at the foot. */
export type Open = { name: PadName } | { name: 'amend'; line: LogEntry } | { name: 'measure'; jar: number } | { name: 'size' | 'end' | 'abandon' }
const KEY_PADS: readonly string[] = ['reading', 'takeoff', 'heater', 'coolant', 'note', 'quiet', 'keys'] satisfies PadName[]
export const isKeyPad = (pad: Open): pad is { name: PadName } => KEY_PADS.includes(pad.name)
