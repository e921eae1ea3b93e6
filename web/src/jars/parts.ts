// What of the jars' page is loaded behind its first paint.
export { default as Patterns } from '../chart/Patterns.svelte'
export { default as Against } from './Against.svelte'
export { default as BlindRound } from './BlindRound.svelte'
export { default as CutRow } from './CutRow.svelte'
export { default as Moves } from './Moves.svelte'
export { default as Nose } from './Nose.svelte'
export { default as Onward } from './Onward.svelte'
