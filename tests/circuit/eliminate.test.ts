import { Matrix, solve } from 'ml-matrix'
import { describe, expect, it } from 'vitest'
import { type ComplexSystem, eliminate, emptySystem } from '../../server/circuit/eliminate.ts'
import { createRandom } from '../../server/statistics/random.ts'

/** The same equations with real numbers, twice as many, by a general library of matrices. */
function byLibrary({ size, re, im }: ComplexSystem): number[] {
  const matrix = Matrix.zeros(2 * size, 2 * size)
  const right = Matrix.zeros(2 * size, 1)
  for (let row = 0; row < size; row++) {
    const at = row * (size + 1)
    for (let column = 0; column < size; column++) {
      const [a, b] = [re[at + column] ?? 0, im[at + column] ?? 0]
      matrix.set(row, column, a)
      matrix.set(row, size + column, -b)
      matrix.set(size + row, column, b)
      matrix.set(size + row, size + column, a)
    }
    right.set(row, 0, re[at + size] ?? 0)
    right.set(size + row, 0, im[at + size] ?? 0)
  }
  return solve(matrix, right).to1DArray()
}

describe('eliminate', () => {
  it.each([1, 2, 3, 7, 20, 60])('solves %d equations as a general library does', size => {
    const random = createRandom(`equations ${size}`)
    const system = emptySystem(size)
    for (let at = 0; at < system.re.length; at++) {
      system.re[at] = random.normal()
      system.im[at] = random.chance(0.5) ? random.normal() : 0
    }
    const expected = byLibrary(system)
    const { re, im } = eliminate(system)
    for (const [row, value] of [...re, ...im].entries())
      expect(value).toBeCloseTo(expected[row] ?? Number.NaN, 7)
  })

  it('takes the rows in another order where a pivot is nothing', () => {
    const system: ComplexSystem = { size: 2, re: Float64Array.of(0, 1, 3, 2, 0, 8), im: new Float64Array(6) }
    expect([...eliminate(system).re]).toEqual([4, 3])
  })

  it('refuses equations that say the same twice', () => {
    const system: ComplexSystem = { size: 2, re: Float64Array.of(1, 1, 2, 1, 1, 2), im: new Float64Array(6) }
    expect(() => eliminate(system)).toThrow(RangeError)
  })
})
