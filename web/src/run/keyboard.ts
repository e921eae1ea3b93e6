// What the keyboard does on the Run page.

export type KeyDeed =
  | { do: 'jar' | 'here' | 'seen' | 'far' | 'now' }
  | { do: 'pad'; pad: 'reading' | 'takeoff' | 'heater' | 'coolant' | 'note' | 'quiet' | 'keys' }
  | { do: 'shift'; minutes: number }

/** The deed of a key, or null where the key belongs to a field, a button or the browser. */
export function deedOf(event: Pick<KeyboardEvent, 'key' | 'shiftKey' | 'ctrlKey' | 'metaKey' | 'altKey'>, targetTag: string): KeyDeed | null {
  if (event.ctrlKey || event.metaKey || event.altKey) return null
  if (['INPUT', 'TEXTAREA', 'SELECT'].includes(targetTag)) return null
  const pressable = ['BUTTON', 'A', 'SUMMARY'].includes(targetTag)
  switch (event.key.toLowerCase()) {
    case 'n': return { do: 'jar' }
    case 'r': return { do: 'pad', pad: 'reading' }
    case 't': return { do: 'pad', pad: 'takeoff' }
    case 'h': return { do: 'pad', pad: 'heater' }
    case 'c': return { do: 'pad', pad: 'coolant' }
    case 'm': return { do: 'pad', pad: 'note' }
    case 'q': return { do: 'pad', pad: 'quiet' }
    case '?': return { do: 'pad', pad: 'keys' }
    case ' ': return pressable ? null : { do: 'here' }
    case 'enter': return pressable ? null : { do: 'seen' }
    case 'f': return { do: 'far' }
    case 'home': return { do: 'now' }
    case 'arrowleft': return { do: 'shift', minutes: event.shiftKey ? -15 : -1 }
    case 'arrowright': return { do: 'shift', minutes: event.shiftKey ? 15 : 1 }
    default: return null
  }
}
