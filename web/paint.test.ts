import { expect, test } from 'vitest'
import { closure, firstPaints, tooHeavy, type Part } from './paint'

/** Text that packs badly. */
const noise = (bytes: number): string => Array.from({ length: bytes }, (_, i) => String.fromCharCode(33 + ((i * 7919 + ((i * i) % 613) * 31) % 90))).join('')
const part = (source: string, needs: string[] = [], pages: string[] = []): Part => ({ source, needs, pages })
const built = (parts: Record<string, Part>): Map<string, Part> => new Map(Object.entries(parts))

test('a page needs the frame and what its own file cannot run without, each once, in circles too', () => {
  const parts = built({ 'index.js': part('frame', ['a.js', 'index.css']), 'a.js': part('a', ['b.js']), 'b.js': part('b', ['a.js']), 'index.css': part('c'), 'far.js': part('later') })
  expect([...closure(parts, ['index.js'])].sort()).toEqual(['a.js', 'b.js', 'index.css', 'index.js'])
})

test('what is loaded later does not count; what must be there does, and then the build fails by name', () => {
  const parts = built({ 'index.html': part('html'), 'index.js': part('frame'), 'Run.js': part('run', ['styles.css'], ['Run']), 'styles.css': part('x'), 'rest.js': part(noise(90_000)) })
  const frame = ['index.html', 'index.js']
  expect(tooHeavy(firstPaints(parts, frame))).toBeNull()
  parts.set('Run.js', part('run', ['styles.css', 'rest.js'], ['Run']))
  expect(tooHeavy(firstPaints(parts, frame))).toMatch(/^first paint over 45000 bytes under gzip: Run \d+\./)
})

test('a build whose pages are not found is not passed unseen', () => {
  expect(tooHeavy(firstPaints(built({ 'index.js': part('frame') }), ['index.js']))).toMatch(/no page was found/)
})
