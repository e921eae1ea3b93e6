import { expect, test } from 'vitest'
import { headed, moved, numbers } from './words'

test('jars are named by spans', () => {
  expect(numbers([4])).toBe('jar 4')
  expect(numbers([5, 6, 7, 8])).toBe('jars 5 to 8')
  expect(numbers([2, 3, 12, 10, 11])).toBe('jars 2, 3 and 10 to 12')
  expect(numbers([])).toBe('jars none')
  expect(headed([5, 6, 7])).toBe('Jars 5 to 7')
})

test('a cut moves by one jar and never leaves nothing', () => {
  const all = [1, 2, 4, 5, 6]
  expect(moved(all, [4, 5], 'first', false)).toEqual([2, 4, 5])
  expect(moved(all, [4, 5], 'first', true)).toEqual([5])
  expect(moved(all, [4, 5], 'last', true)).toEqual([4, 5, 6])
  expect(moved(all, [4, 5], 'last', false)).toEqual([4])
  expect(moved(all, [4], 'last', false)).toEqual([4])
  expect(moved(all, [1, 6], 'first', false)).toEqual([1, 6])
})
