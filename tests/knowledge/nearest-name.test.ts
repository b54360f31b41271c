import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { editDistance, hinter, nearestName } from '../../server/knowledge/nearest-name.ts'

describe('the distance between two words', () => {
  // Worked examples of the optimal string alignment distance; common textbook ones (values from memory).
  it.each([
    ['kitten', 'sitting', 3],
    ['ca', 'ac', 1],
    ['ca', 'abc', 3],
    ['', 'abc', 3],
    ['supply', 'supply', 0],
  ])('%s to %s is %i', (a, b, distance) => {
    expect(editDistance(a, b)).toBe(distance)
  })

  it('is the same both ways, nought only for the same word, and at most the longer length', () => {
    const word = fc.string({ maxLength: 12 })
    fc.assert(
      fc.property(word, word, (a, b) => {
        const distance = editDistance(a, b)
        expect(editDistance(b, a)).toBe(distance)
        expect(distance === 0).toBe(a === b)
        expect(distance).toBeLessThanOrEqual(Math.max(a.length, b.length))
      }),
      { seed: 11 },
    )
  })
})

describe('the nearest name', () => {
  it('is offered when near, and not when far', () => {
    expect(nearestName('suply volatge', ['supply voltage', 'output current'])).toBe('supply voltage')
    expect(nearestName('fsue', ['fuse', 'loop'])).toBe('fuse')
    expect(nearestName('cable', ['lamp', 'fuse'])).toBeNull()
    expect(nearestName('x', [])).toBeNull()
  })

  it('is given only so many times', () => {
    const hint = hinter(2)
    expect([hint('fsue', ['fuse']), hint('fsue', ['fuse']), hint('fsue', ['fuse'])]).toEqual([
      'fuse',
      'fuse',
      null,
    ])
  })
})
