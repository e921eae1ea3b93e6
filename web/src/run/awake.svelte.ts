// Whether this screen is kept on now; what keeps it on is loaded behind the first paint (wake.ts).
class Awake {
  held = $state(false)
}

export const awake = new Awake()
