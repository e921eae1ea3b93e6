// Which pads there are and what each asks for.

export type PadName = 'reading' | 'takeoff' | 'heater' | 'coolant' | 'note' | 'quiet' | 'keys'

export interface PadField { key: string; label: string; quantity: 'temperature' | 'strength' | 'plain'; unit: string; value: number | null; decimals: number; min: number; max: number }

/** What a typed reading may be. */
export type ReadingKind = 'gauge' | 'temperatures' | 'barometer'

export const AGO: { words: string; seconds: number }[] = [
  { words: 'now', seconds: 0 },
  { words: '1 min ago', seconds: 60 },
  { words: '5 min ago', seconds: 300 },
]
