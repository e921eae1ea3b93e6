/** What has just appeared under a finger takes no press for this long, ms (judgement: longer than a double tap). */
export const FRESH_MS = 500
