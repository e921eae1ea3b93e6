// What of the books' page is loaded behind its first paint.
export { default as River } from './River.svelte'
export { default as Entries } from './Entries.svelte'
export { default as OnHand } from './OnHand.svelte'
export { default as Spent } from './Spent.svelte'
export { default as Acts } from './Acts.svelte'
export { default as Out } from './Out.svelte'
