// Keeps the screen awake during a run where the browser allows it (not over plain http), and says whether it does.

class Awake {
  /** Whether the browser keeps this screen on now. */
  held = $state(false)
  #lock: WakeLockSentinel | null = null
  #wanted = false

  /** From now on the screen stays on; the answer ends that. */
  stay(): () => void {
    const again = (): void => void this.#take()
    this.#wanted = true
    document.addEventListener('visibilitychange', again)
    again()
    return () => {
      this.#wanted = false
      document.removeEventListener('visibilitychange', again)
      void this.#lock?.release()
    }
  }

  async #take(): Promise<void> {
    if (!this.#wanted || this.held || document.visibilityState !== 'visible' || !('wakeLock' in navigator)) return
    try {
      const lock = await navigator.wakeLock.request('screen')
      // The page may have been left meanwhile.
      if (!this.#wanted) return void lock.release()
      this.#lock = lock
      this.held = !lock.released
      lock.addEventListener('release', () => { if (this.#lock === lock) this.held = false })
    } catch {
      this.held = false
    }
  }
}

export const awake = new Awake()
