// What the page of a wash loads behind its first paint.
export { default as WashStrip } from './WashStrip.svelte'
export { default as Entry } from './Entry.svelte'
export { default as Finished } from './Finished.svelte'
export { default as RecipeTable } from './RecipeTable.svelte'
export { default as RecipeForm } from './RecipeForm.svelte'
export { default as WashLog } from './WashLog.svelte'
export { default as Channels } from '../still/Channels.svelte'
export { default as IntoStill } from './IntoStill.svelte'
