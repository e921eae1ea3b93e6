// The open house: the bundled example (read-only) or the person's own still, and the plan being drawn up.
import { api, ApiError } from './server'
import { draftPlan } from './plan/draft'
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
      this.data = await api.house()
      this.trouble = ''
      if (prefs.house === 'own' && !this.data.own) prefs.house = 'none'
      if (prefs.house !== 'none' && !this.plan) this.takePlan()
    } catch (error) {
      this.trouble = error instanceof ApiError ? error.line : String(error)
    }
  }

  open(mode: 'example' | 'own'): void {
    prefs.house = mode
    this.takePlan()
  }

  /** Takes a fresh plan of the open house; the example's `id` names which. */
  takePlan(id?: string): void {
    if (!this.data) return
    if (this.example) {
      const plans = this.data.example.plans
      const chosen = plans.find((plan) => plan.id === id) ?? plans[0]
      if (!chosen) return
      const { id: _unused, ...plan } = $state.snapshot(chosen)
      this.plan = plan
    } else if (this.data.own) {
      this.plan = draftPlan($state.snapshot(this.data.own.still), this.data.own.run_w)
    }
  }
}

export const house = new HouseState()
