// What a person recorded, in words; never a code.
import type { NewAction, NewJar } from '../types'
import { flow, millilitres, takeOff, watts } from '../units'

/** "head_runs_away" as words: only where the record has no words of its own for it. */
export const plain = (code: string): string => code.replaceAll('_', ' ')

type Told = Pick<NewAction, 'action'> & { value?: number | null; unit?: string | null; note?: string | null }

/** One line for one action; nothing for what the engine says itself (a step) and for presence. `named` gives the words of an alarm. */
export function actionWords(row: Told, named: (code: string) => string = plain): string {
  const value = Number(row.value)
  const note = row.note ?? ''
  switch (row.action) {
    case 'heater': return value > 0 ? `Heater changed to ${watts(value)}.` : 'Heater off.'
    case 'takeoff': return row.unit === 'reflux_watts' ? `Partial condenser changed to ${value} W.` : row.unit === 'reflux_ratio' ? `Take-off changed to reflux ratio ${value}.` : value > 0 ? `Take-off changed to ${takeOff(value)}.` : 'Take-off closed.'
    case 'coolant': return value > 0 ? `Coolant changed to ${flow(value)}.` : 'Coolant off.'
    case 'jar': return `Jar ${value} opened.`
    case 'gauge': return `The glass reads ${value} % vol at ${(row.unit ?? '').replace('vol_at_', '')} °C.`
    case 'residue': case 'feints': case 'sample': return vesselWords(row.action, value, row.unit ?? '', note)
    case 'seen': return `Seen: ${named(note)}.`
    case 'reset': return `Reset: ${named(note)}.`
    case 'quiet': { const [code = '', ...why] = note.split(': '); return why.length ? `Quiet for ${value} min: ${named(code)} (${why.join(': ')}).` : `Quiet for ${value} min: ${note}.` }
    case 'step': case 'here': return ''
    default: return note
  }
}

/** One line for what was measured outside the jars. */
function vesselWords(what: string, value: number, unit: string, note: string): string {
  const [vol, at] = note.startsWith('at_') ? ['', note.slice(3)] : note.split(/ vol_at_| vol/)
  const glass = vol ? `, the glass reads ${vol} % vol` : ''
  return `${what.charAt(0).toUpperCase()}${what.slice(1)}: ${value} ${unit === 'kg' ? 'kg' : 'L'}${glass}${at ? ` at ${at} °C` : ''}.`
}

/** One line for what was measured of a jar. */
export function jarRecordWords(jar: Pick<NewJar, 'jar' | 'volume_ml' | 'apparent_vol' | 'temperature_c'>): string {
  const parts = [jar.volume_ml ? millilitres(jar.volume_ml) : '', jar.apparent_vol ? `the glass reads ${jar.apparent_vol} % vol${jar.temperature_c ? ` at ${jar.temperature_c} °C` : ''}` : '']
  return `Jar ${jar.jar}: ${parts.filter(Boolean).join(', ')}.`
}
