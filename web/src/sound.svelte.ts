// The alarm sound of this page. A browser lets it sound only after a tap: until then it is "not armed".
import type { LiveEvent, Priority } from './types'

interface Pulse { hertz: number; at: number; lasts: number }

const PULSES: Record<Priority, Pulse[]> = {
  critical: [0, 0.28, 0.56].map((at, i) => ({ hertz: 980 - i * 160, at, lasts: 0.2 })),
  high: [0, 0.4].map((at) => ({ hertz: 740, at, lasts: 0.25 })),
  medium: [{ hertz: 392, at: 0, lasts: 0.4 }],
  low: [{ hertz: 294, at: 0, lasts: 0.2 }],
}
const PROMPT: Pulse[] = [{ hertz: 523, at: 0, lasts: 0.2 }, { hertz: 659, at: 0.2, lasts: 0.2 }]

/** How often an unseen alarm sounds again, ms. */
export const AGAIN_MS: Record<Priority, number> = { critical: 3000, high: 10_000, medium: 60_000, low: Infinity }

class AlarmSound {
  armed = $state(false)
  #context: AudioContext | null = null
  #timer: ReturnType<typeof setInterval> | null = null
  #sounding: Priority | null = null

  /** Call from a tap only. */
  async arm(): Promise<void> {
    try {
      this.#context ??= new AudioContext()
      await this.#context.resume()
      this.#context.onstatechange = () => { this.armed = this.#context?.state === 'running' }
      this.armed = this.#context.state === 'running'
      if (this.armed) this.#test()
    } catch {
      this.armed = false
    }
  }

  /** The self-test when it is armed: a prompt, then each priority, the most urgent last. */
  #test(): void {
    const { low, medium, high, critical } = PULSES
    for (const [place, pulses] of [PROMPT, low, medium, high, critical].entries()) {
      this.#play(pulses.map((pulse) => ({ ...pulse, at: pulse.at + place })), 0.12)
    }
  }

  prompt(): void {
    this.#play(PROMPT, 0.15)
    buzz([80])
  }

  /** Sounds while an alarm of this priority stands unseen; null silences. */
  alarm(priority: Priority | null): void {
    if (priority === this.#sounding) return
    this.#sounding = priority
    if (this.#timer) clearInterval(this.#timer)
    this.#timer = null
    if (!priority || priority === 'low') return
    const sound = (): void => {
      this.#play(PULSES[priority], priority === 'critical' ? 0.5 : 0.3)
      if (priority === 'critical') buzz([600])
    }
    sound()
    this.#timer = setInterval(sound, AGAIN_MS[priority])
  }

  #play(pulses: Pulse[], loudness: number): void {
    const context = this.#context
    if (!context || context.state !== 'running') return
    for (const pulse of pulses) {
      const tone = context.createOscillator()
      const gain = context.createGain()
      const start = context.currentTime + pulse.at
      tone.frequency.value = pulse.hertz
      tone.type = 'triangle'
      gain.gain.setValueAtTime(0, start)
      gain.gain.linearRampToValueAtTime(loudness, start + 0.02)
      gain.gain.linearRampToValueAtTime(0, start + pulse.lasts)
      tone.connect(gain).connect(context.destination)
      tone.start(start)
      tone.stop(start + pulse.lasts + 0.05)
    }
  }
}

function buzz(pattern: number[]): void {
  try {
    navigator.vibrate?.(pattern)
  } catch {
    // No buzz on this device.
  }
}

export const alarmSound = new AlarmSound()

const RANK: Record<Priority, number> = { low: 0, medium: 1, high: 2, critical: 3 }

/** The most urgent alarm that nobody has seen. */
export function unseen(alarms: LiveEvent[], seen: string[]): LiveEvent | null {
  const open = alarms.filter((alarm) => !seen.includes(alarm.code))
  return open.sort((a, b) => RANK[b.priority] - RANK[a.priority])[0] ?? null
}
