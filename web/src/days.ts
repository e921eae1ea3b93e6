// Days and months in words: of what no first paint tells.
export const MONTHS = ['Jan', 'Feb', 'March', 'April', 'May', 'June', 'July', 'Aug', 'Sept', 'Oct', 'Nov', 'Dec']

const GAP = '\u00a0'

/** Day of an instant, at the place of the run. */
export function day(instantMs: number, zoneOffsetMinutes: number): string {
  const local = new Date(instantMs + zoneOffsetMinutes * 60_000)
  return [local.getUTCDate(), MONTHS[local.getUTCMonth()], local.getUTCFullYear()].join(GAP)
}
