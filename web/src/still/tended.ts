// What of a still is looked after: loaded with its page, behind the first paint.
export { default as Instruments } from './Instruments.svelte'
export { default as Upkeep } from './Upkeep.svelte'
