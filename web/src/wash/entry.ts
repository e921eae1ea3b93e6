// The keys under which something of a wash is entered.
export { gravity, momentOf } from './words'

export type EntryKind = 'reading' | 'nutrient' | 'yeast' | 'chalk' | 'heater' | 'moved' | 'note'

export const KEYS: { kind: EntryKind; name: string }[] = [
  { kind: 'reading', name: 'Reading' },
  { kind: 'nutrient', name: 'Nutrient' },
  { kind: 'heater', name: 'Heater' },
  { kind: 'yeast', name: 'Yeast' },
  { kind: 'chalk', name: 'Chalk' },
  { kind: 'moved', name: 'Moved' },
  { kind: 'note', name: 'Note' },
]

/** Under which key a line is corrected. */
export function kindOf(line: { kind: string; action: string | null }): EntryKind {
  const known = KEYS.find((key) => key.kind === line.action)
  return line.kind === 'read' ? 'reading' : known?.kind ?? 'note'
}
