// What of the plan's page is loaded behind its sentence: the drawing, and what is changed, kept and started.
export { default as ChargeEditor } from './ChargeEditor.svelte'
export { default as KeptPlans } from './KeptPlans.svelte'
export { default as PlanStrip } from './PlanStrip.svelte'
export { default as Starter } from './Starter.svelte'
export { default as StepEditor } from './StepEditor.svelte'
