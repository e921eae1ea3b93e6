// The open house: the bundled example (read-only) or the person's own still, and the plan being drawn up.
import { api, ApiError } from './server'
import { prefs } from './prefs.svelte'
import type { House, RunPlan, Still } from './types'

class HouseState {
  data = $state<House | null>(null)
  trouble = $state('')
  plan = $state<RunPlan | null>(null)

  get example(): boolean { return prefs.house === 'example' }

  get still(): Still | null {
    return this.plan?.still ?? null
  }

  async load(): Promise<void> {
    try {
      const data = await api.house()
      if (prefs.house === 'own' && !data.own) prefs.house = 'none'
      if (prefs.house !== 'none' && !this.plan) await this.takePlan(undefined, data)
      this.data = data
      this.trouble = ''
    } catch (error) {
      this.trouble = error instanceof ApiError ? error.line : String(error)
    }
  }

  async open(mode: 'example' | 'own'): Promise<void> {
    prefs.house = mode
    await this.takePlan()
  }

  /** Takes a fresh plan of the open house; the example's `id` names which. */
  async takePlan(id?: string, data = this.data): Promise<void> {
    if (!data) return
    if (this.example) {
      const plans = data.example.plans
      const chosen = plans.find((plan) => plan.id === id) ?? plans[0]
      if (!chosen) return
      const { id: _unused, ...plan } = $state.snapshot(chosen)
      this.plan = plan
    } else if (data.own) {
      const { draftPlan } = await import('./plan/draft')
      this.plan = draftPlan($state.snapshot(data.own.still), data.own.run_w)
    }
  }
}

export const house = new HouseState()
