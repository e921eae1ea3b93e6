// What of the still's page is loaded behind its first paint: what its probes read, runs compared, fitted and begun anew.
export { default as Calibrated } from './Calibrated.svelte'
export { default as Channels } from './Channels.svelte'
export { default as Compare } from './Compare.svelte'
export { default as FitRuns } from './FitRuns.svelte'
export { default as Measured } from './Measured.svelte'
export { default as ResetStill } from './ResetStill.svelte'
export { default as Traits } from './Traits.svelte'
