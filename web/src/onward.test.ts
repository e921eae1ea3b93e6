// Who goes elsewhere while something is done is not called back.
import { expect, test, vi } from 'vitest'

test('what is done leads on, and calls nobody back who went elsewhere meanwhile', async () => {
  vi.stubGlobal('location', { hash: '#/' })
  vi.stubGlobal('addEventListener', () => undefined)
  const { onward } = await import('./onward')
  onward()('still')
  expect(location.hash).toBe('#/still')
  const go = onward()
  location.hash = '#/books'
  go('still')
  expect(location.hash).toBe('#/books')
  onward()('run', 'a b')
  expect(location.hash).toBe('#/run/a%20b')
  vi.unstubAllGlobals()
})
