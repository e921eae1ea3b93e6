// A first plan for a still of one's own: a usual charge and usual steps, every value open to change.
import type { RunPlan, Step, StepKind, Still } from '../types'

/** Fill that leaves room for foam and for the liquid to swell. */
const FILL = 0.75

const tidy = (value: number, step: number): number => Number((Math.round(value / step) * step).toFixed(6))

/** `runW`: the power that such a still is run at, as the program reckons it. */
export function draftPlan(still: Still, runW: number): RunPlan {
  // A power that nobody stated is learned from the heat-up: no step names any.
  const known = still.elements_watts.length > 0
  const heater: Power = known ? { watts: still.elements_watts.reduce((sum, watts) => sum + watts, 0) } : {}
  const run: Power = known ? { watts: tidy(runW, 10) } : {}
  const litres = tidy(still.boiler_litres * FILL, 0.5)
  return {
    format: 1,
    title: `First run of ${still.name}`,
    start: startNow(),
    still,
    charge: { kind: 'sugar wash', litres, strength_vol: 10, temperature_c: 20 },
    site: { pressure_hpa: 1013.25, ambient_c: 20, coolant_in_c: 15, coolant_l_per_min: still.kind === 'pot' ? 2 : 1.5 },
    step: still.kind === 'column' ? columnSteps(heater, run, litres) : potSteps(heater, run, litres),
  }
}

/** What a step says of the heat: nothing where its power is still to be learned. */
type Power = { watts?: number }

/** RFC 3339 with a zone offset of zero; the server puts the true start in its place when heat goes on. */
function startNow(): string {
  return new Date().toISOString().replace(/\.\d+Z$/, '+00:00')
}

function columnSteps(heater: Power, run: Power, litres: number): Step[] {
  return [
    { do: 'heat', ...heater },
    { do: 'equalise', ...run, minutes: 30 },
    { do: 'foreshots', reflux_ratio: 20, until_ml: tidy(litres * 1.5, 10) },
    { do: 'heads', reflux_ratio: 12, until_ml: tidy(litres * 8, 10) },
    { do: 'hearts', reflux_ratio: 4, until_rise_k: 0.4 },
    { do: 'hearts', reflux_ratio: 9, until_rise_k: 0.6 },
    { do: 'tails', reflux_ratio: 3, until_strength_vol: 40 },
    { do: 'stop' },
  ]
}

function potSteps(heater: Power, run: Power, litres: number): Step[] {
  return [
    { do: 'heat', ...heater },
    { do: 'foreshots', ...run, until_ml: tidy(litres * 2, 10) },
    { do: 'heads', until_ml: tidy(litres * 10, 10) },
    { do: 'hearts', until_strength_vol: 45 },
    { do: 'tails', until_strength_vol: 15 },
    { do: 'stop' },
  ]
}

/** A new step to put before `stop`. */
export function newStep(kind: StepKind, stillKind: Still['kind']): Step {
  if (kind === 'equalise') return { do: kind, minutes: 20 }
  const drawn = stillKind === 'column' ? { reflux_ratio: 5 } : {}
  return kind === 'hearts' || kind === 'tails'
    ? { do: kind, ...drawn, until_strength_vol: kind === 'hearts' ? 60 : 40 }
    : { do: kind, ...drawn, until_ml: 200 }
}
