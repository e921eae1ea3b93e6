// Keeps the screen on during a run where the browser allows it (not over plain http), and says whether it does.
import { awake } from './awake.svelte'

/** From now on the screen stays on; the answer ends that. */
export function stay(): () => void {
  let wanted = true
  let mine: WakeLockSentinel | null = null
  async function take(): Promise<void> {
    if (!wanted || awake.held || document.visibilityState !== 'visible' || !('wakeLock' in navigator)) return
    try {
      const lock = await navigator.wakeLock.request('screen')
      // The page may have been left meanwhile.
      if (!wanted) return void lock.release()
      mine = lock
      awake.held = !lock.released
      lock.addEventListener('release', () => { if (mine === lock) awake.held = false })
    } catch {
      awake.held = false
    }
  }
  const again = (): void => void take()
  document.addEventListener('visibilitychange', again)
  again()
  return () => {
    wanted = false
    document.removeEventListener('visibilitychange', again)
    void mine?.release()
  }
}
