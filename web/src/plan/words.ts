// The words of a plan: its sentence, its steps as triggers, never as planned volumes alone.
import { isSlow, stepName } from './steps'
import type { Forecast, RunPlan, Step } from '../types'
import { duration, figure, millilitres, rise, strength, takeOff, temperature, watts, type UnitChoice } from '../units'

export const stepTitle = (plan: RunPlan, index: number): string =>
  stepName(plan.step[index]?.do ?? 'stop', isSlow(plan, index))

/** What ends a step, in words; every one that stands, the first reached wins. */
export function triggerWords(step: Step, units: UnitChoice): string {
  const parts: string[] = []
  if (step.until_ml !== undefined) parts.push(`${millilitres(step.until_ml)} drawn`)
  if (step.until_rise_k !== undefined) parts.push(`the head is ${rise(step.until_rise_k, units, 1)} over the plateau`)
  if (step.until_strength_vol !== undefined) parts.push(`it runs at ${strength(step.until_strength_vol, units, 0)}`)
  if (step.until_pot_c !== undefined) parts.push(`the pot is at ${temperature(step.until_pot_c, units)}`)
  if (step.until_total_ml !== undefined) parts.push(`${millilitres(step.until_total_ml)} drawn in all`)
  const time = step.minutes === undefined ? '' : `${figure(step.minutes, 0)} min`
  if (!parts.length) return time ? `for ${time}` : ''
  return `until ${parts.join(' or ')}${time ? `, at most ${time}` : ''}`
}

export function drawWords(step: Step): string {
  if (step.takeoff_ml_per_min !== undefined) return takeOff(step.takeoff_ml_per_min)
  if (step.reflux_watts !== undefined) return `partial condenser ${watts(step.reflux_watts)}`
  if (step.reflux_ratio !== undefined) return `reflux ${figure(step.reflux_ratio, step.reflux_ratio % 1 ? 1 : 0)}`
  return ''
}

export function stepWords(step: Step, units: UnitChoice): string {
  if (step.do === 'stop') return 'heat off, coolant on until cool'
  const power = step.watts === undefined ? '' : watts(step.watts)
  const end = step.do === 'heat' ? 'until the stages are filled' : triggerWords(step, units)
  return [power, drawWords(step), end].filter(Boolean).join(', ')
}

export interface Hearts { litres: number; strengthVol: number | null; startS: number | null }

/** All hearts of a forecast in one. */
export function heartsOf(forecast: Forecast): Hearts {
  const hearts = forecast.steps.filter((step) => step.do === 'hearts')
  const litres = hearts.reduce((sum, step) => sum + (step.litres_20c ?? 0), 0)
  const pure = hearts.reduce((sum, step) => sum + (step.pure_alcohol_l ?? 0), 0)
  return { litres, strengthVol: litres > 0 ? (100 * pure) / litres : null, startS: hearts[0]?.start_s ?? null }
}

export const endOf = (forecast: Forecast): number => forecast.steps[forecast.steps.length - 1]?.end_s ?? 0

/** When things come, from heater on. */
export function courseWords(forecast: Forecast): { coolant: string; hearts: string | null; end: string } {
  const hearts = heartsOf(forecast).startS
  return {
    coolant: duration(forecast.coolant_on_min * 60),
    hearts: hearts === null ? null : duration(hearts),
    end: duration(endOf(forecast)),
  }
}

const ENDED: Record<string, string> = {
  filled: 'stages filled', minutes: 'time', until_ml: 'volume', until_rise_k: 'head rise', until_strength_vol: 'strength',
  until_pot_c: 'pot temperature', until_total_ml: 'volume in all', element_cover: 'cover line reached', pot_dry: 'pot dry', no_vapour: 'no more vapour',
}
export const endedWords = (code: string): string => ENDED[code] ?? code.replaceAll('_', ' ')
