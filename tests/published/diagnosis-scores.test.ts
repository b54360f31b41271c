// The score of forecasts, against published figures. Ours is the first form: summed over all classes, 0 to 2.

import { describe, expect, it } from 'vitest'
import { brierScore } from '../../server/diagnosis/judging/scores.ts'

const twoClasses = (chances: number[], happened: boolean[]) =>
  chances.map((chance, index) => ({ chances: [chance, 1 - chance], happened: happened[index] ? 0 : 1 }))

describe('Brier score', () => {
  // Brier, Monthly Weather Review 78:1-3, 1950: ten forecasts of rain. Value from memory, recomputed.
  it('is 0.19 for the ten forecasts', () => {
    const chances = [0.7, 0.9, 0.8, 0.4, 0.2, 0, 0, 0, 0, 0.1]
    const rained = [false, true, true, true, false, false, false, false, false, false]
    expect(brierScore(twoClasses(chances, rained))).toBeCloseTo(0.19, 12)
  })

  // A general library's documentation: the one-class form, .0375, is half of ours. Value from memory, recomputed.
  it('is twice 0.0375 for four forecasts', () => {
    const score = brierScore(twoClasses([0.1, 0.9, 0.8, 0.3], [false, true, true, false]))
    expect(score).toBeCloseTo(2 * 0.0375, 12)
  })

  it('is 0 at best and 2 at worst', () => {
    expect(brierScore([{ chances: [1, 0, 0], happened: 0 }])).toBe(0)
    expect(brierScore([{ chances: [1, 0, 0], happened: 2 }])).toBe(2)
    expect(brierScore([])).toBeNull()
  })
})
