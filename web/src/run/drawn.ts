// The drawings of a run and what makes it surer, loaded right behind its sentence, ages and keys.
import '../style/behind.css'
import '../style/tables.css'
export { default as Ahead } from './Ahead.svelte'
export { default as Section } from './Section.svelte'
export { default as Strip } from './Strip.svelte'
export { default as Surer } from './Surer.svelte'
