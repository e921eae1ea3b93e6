// Numbers of jars as a person says them.

/** "jar 4", "jars 5 to 11", "jars 2, 3 and 9 to 11". */
export function numbers(jars: number[]): string {
  const spans: [number, number][] = []
  for (const jar of [...jars].sort((a, b) => a - b)) {
    const last = spans[spans.length - 1]
    if (last && last[1] + 1 === jar) last[1] = jar
    else spans.push([jar, jar])
  }
  const words = spans.flatMap(([from, to]) => (from === to ? [`${from}`] : to === from + 1 ? [`${from}`, `${to}`] : [`${from} to ${to}`]))
  const said = words.length > 1 ? `${words.slice(0, -1).join(', ')} and ${words[words.length - 1]}` : (words[0] ?? 'none')
  return `${jars.length === 1 ? 'jar' : 'jars'} ${said}`
}

/** The same at the head of a sentence. */
export const headed = (jars: number[]): string => numbers(jars).replace('j', 'J')

/** The jars that are in once a cut was moved by one: the first one, or the last. */
export function moved(all: number[], chosen: number[], which: 'first' | 'last', later: boolean): number[] {
  const places = all.map((jar, place) => (chosen.includes(jar) ? place : -1)).filter((place) => place >= 0)
  const edge = which === 'first' ? places[0] : places[places.length - 1]
  if (edge === undefined) return chosen
  const takesIn = which === 'first' ? !later : later
  const jar = takesIn ? all[edge + (later ? 1 : -1)] : all[edge]
  if (jar === undefined || (!takesIn && places.length < 2)) return chosen
  return takesIn ? [...chosen, jar].sort((a, b) => all.indexOf(a) - all.indexOf(b)) : chosen.filter((one) => one !== jar)
}
