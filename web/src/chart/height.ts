// How high the strip is: known before it is drawn, so that its place can be kept free.

/** Above the lanes: names and times of the ends, and the ribbon. */
export const TOP = 76
/** From the lanes down to the clock. */
export const AXIS = 20

export const lanesHeight = (room: number): number => Math.max(room, 126)
export const jarsHeight = (narrow: boolean): number => (narrow ? 76 : 72)

/** The strip with its jars. */
export const stripHeight = (room: number, narrow: boolean): number => TOP + lanesHeight(room) + AXIS + 26 + jarsHeight(narrow) + 62

/** What the lanes of a plan may take. */
export const PLAN_ROOM = 210
export const isNarrow = (width: number): boolean => width < 640
/** The strip of a plan with the words below it. */
export const planStripHeight = (width: number): number => stripHeight(PLAN_ROOM, isNarrow(width)) + 6
