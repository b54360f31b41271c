import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { expectedTime, spreadOf, type TimeOptions } from '../../../server/diagnosis/ordering/expected-time.ts'
import { type CauseCounts, noHistory } from '../../../server/diagnosis/ranking/cause-counts.ts'
import { rank } from '../../../server/diagnosis/ranking/rank.ts'
import { usualMinutes } from '../../../server/diagnosis/ranking/strengths.ts'
import type { Finding } from '../../../server/walk/record.ts'
import { found } from '../found.ts'
import { findingsAt, randomTrees } from '../random-trees.ts'
import { knowledgeOf } from '../trees.ts'

const prove = [{ tree: 'dead', check: 'output' }]
const knowledge = knowledgeOf(
  {
    dead: {
      checks: {
        supply: { minutes: 3, rows: { 'in range': 'output', none: '!fuse' } },
        output: { minutes: 4, access: 'open the case', rows: { 'in range': '.nothing', none: '!module' } },
      },
    },
  },
  { fuse: { minutes: 10, prove }, module: { minutes: null, prove } },
  [{ name: 'open the case', minutes: 3, needs: null }],
)

function time(findings: Finding[], position: [string, number][], options: TimeOptions = {}) {
  const history: CauseCounts = { ...noHistory, position: new Map(position) }
  const result = expectedTime(
    knowledge,
    'dead',
    findings,
    rank(knowledge, 'dead', findings, history),
    options,
  )
  if (!result) throw new Error('no tree')
  return result
}

describe('expected time', () => {
  it('is the checks to the cause, then the repair with its proofs and their access', () => {
    const fuse = time([], [['set/fuse', 1e9]])
    expect(fuse.toCause.mean).toBeCloseTo(3, 4)
    expect(fuse.toHandBack.mean).toBeCloseTo(3 + 10 + 4 + 3, 4)
    const module = time([], [['set/module', 1e9]])
    expect(module.toCause.mean).toBeCloseTo(3 + 4 + 3, 4)
    expect(module.toHandBack.mean).toBeCloseTo(10 + usualMinutes.repair + 4, 4)
  })

  it('is taken anew with each finding, and is only the repair at the cause', () => {
    expect(time([], []).toCause.mean).toBeCloseTo(0.475 * 3 + 0.525 * 10, 9)
    expect(time([found('supply', 'in range')], []).toCause.mean).toBeCloseTo(7, 9)
    expect(time([found('supply', 'none')], []).toCause).toEqual({ mean: 0, median: 0, ninety: 0 })
  })

  it('is never more by the suggestions than by the author’s order', () => {
    const cases = randomTrees(6).chain(tree => fc.tuple(fc.constant(tree), findingsAt(tree)))
    fc.assert(
      fc.property(cases, ([tree, findings]) => {
        const ranking = rank(tree, 'dead', findings, noHistory)
        const author = expectedTime(tree, 'dead', findings, ranking)
        const suggested = expectedTime(tree, 'dead', findings, ranking, { order: 'suggested' })
        if (!author || !suggested) throw new Error('no tree')
        expect(suggested.toCause.mean).toBeLessThanOrEqual(author.toCause.mean + 1e-6)
        for (const { mean, median, ninety } of [author.toCause, author.toHandBack]) {
          expect([mean, median, ninety].every(Number.isFinite)).toBe(true)
          expect(median).toBeLessThanOrEqual(ninety)
        }
      }),
      { seed: 3, numRuns: 150 },
    )
  })
})

describe('a mixture of times', () => {
  it('has the quantiles of a log-normal when there is only one', () => {
    const { mean, median, ninety } = spreadOf([{ weight: 2, mean: 60 }], 0.5)
    expect(mean).toBe(60)
    expect(median).toBeCloseTo(60 * Math.exp(-0.125), 4)
    expect(ninety).toBeCloseTo(60 * Math.exp(-0.125 + 0.5 * 1.2815515655), 4)
  })

  it('keeps apart what is short and what is long', () => {
    const { median, ninety } = spreadOf(
      [
        { weight: 8, mean: 10 },
        { weight: 2, mean: 200 },
      ],
      0.1,
    )
    expect(median).toBeLessThan(12)
    expect(ninety).toBeGreaterThan(150)
  })

  it('makes sense of nothing, and of times of 0', () => {
    expect(spreadOf([], 0.3)).toEqual({ mean: 0, median: 0, ninety: 0 })
    expect(spreadOf([{ weight: 1, mean: 0 }], 0.3)).toEqual({ mean: 0, median: 0, ninety: 0 })
    expect(spreadOf([{ weight: 1, mean: 5 }], 0).median).toBeCloseTo(5, 6)
  })
})
