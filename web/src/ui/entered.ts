// Numbers of a form as they were typed in other units than the page's own: kept until the form is sent.
import type { Entered } from '../typed'

interface Noted { inside: number; value: number; unit: string }
const noted = new Map<string, Noted>()

/** A field that was typed in: in another unit, or again in the own one. `place` is the form and its key, as `plan:charge.litres`. */
export function note(place: string, inside: number, value: number, unit: string | undefined): void {
  if (unit) noted.set(place, { inside, value, unit })
  else noted.delete(place)
}

/** The number that stands at a key of a thing that is sent: `step[2].until_ml`. */
function numberAt(root: unknown, key: string): unknown {
  return key.split(/[.[\]]+/).filter(Boolean).reduce<unknown>((part, name) => (part as Record<string, unknown> | null | undefined)?.[name], root)
}

/** What of a thing that is sent was typed in other units; what was changed since is left out. */
export function enteredOf(form: string, root: unknown): Entered[] {
  return [...noted].flatMap(([place, { inside, value, unit }]) => {
    const field = place.slice(form.length + 1)
    return place.startsWith(`${form}:`) && numberAt(root, field) === inside ? [{ field, value, unit }] : []
  })
}
