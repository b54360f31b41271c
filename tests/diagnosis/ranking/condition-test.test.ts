import { describe, expect, it } from 'vitest'
import { logEvidence, ownMixLogFactor, restOf } from '../../../server/diagnosis/ranking/condition-test.ts'

describe('the evidence of counts', () => {
  // The chance of a sequence can be had step by step: (count so far + pseudo) / (all so far + strength).
  it('is the product of the predictions, one fault after the other', () => {
    const mix = new Map([
      ['a', 0.7],
      ['b', 0.3],
    ])
    const step = ((0.7 * 4) / 4) * ((1 + 0.7 * 4) / 5) * ((0.3 * 4) / 6)
    const counts = new Map([
      ['a', 2],
      ['b', 1],
    ])
    expect(Math.exp(logEvidence(counts, mix, 4))).toBeCloseTo(step, 12)
  })
})

describe('a mix of its own', () => {
  const mix = new Map([
    ['wet', 0.5],
    ['dry', 0.5],
  ])
  const counts = (wet: number, dry: number) =>
    new Map([
      ['wet', wet],
      ['dry', dry],
    ])

  it('is clear where the condition turns the mix about, and not where it follows it', () => {
    expect(ownMixLogFactor(counts(20, 2), counts(10, 40), mix, 20)).toBeGreaterThan(Math.log(10))
    expect(ownMixLogFactor(counts(10, 10), counts(30, 30), mix, 20)).toBeLessThan(0)
  })

  it('is not claimed from a handful of faults, or from none', () => {
    expect(ownMixLogFactor(counts(2, 0), counts(10, 10), mix, 20)).toBeLessThan(Math.log(10))
    expect(ownMixLogFactor(counts(0, 0), counts(10, 10), mix, 20)).toBeCloseTo(0, 12)
  })

  it('holds the part against the rest', () => {
    expect(restOf(counts(5, 3), counts(2, 3))).toEqual(counts(3, 0))
  })
})
