// Keeps the screen awake during a run where the browser allows it (not over plain http).

export function stayAwake(): () => void {
  let lock: WakeLockSentinel | null = null
  let over = false
  const take = async (): Promise<void> => {
    if (over || document.visibilityState !== 'visible' || !('wakeLock' in navigator)) return
    try {
      lock = await navigator.wakeLock.request('screen')
    } catch {
      lock = null
    }
  }
  const again = (): void => void take()
  document.addEventListener('visibilitychange', again)
  void take()
  return () => {
    over = true
    document.removeEventListener('visibilitychange', again)
    void lock?.release()
  }
}
