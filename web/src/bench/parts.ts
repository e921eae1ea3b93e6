// What of the bench is loaded behind its first paint: treatments, casks, and the way into the book.
export { default as Carbon } from './Carbon.svelte'
export { default as Cask } from './Cask.svelte'
export { default as Entering } from './Entering.svelte'
export { default as Maceration } from './Maceration.svelte'
