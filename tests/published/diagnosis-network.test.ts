// The ranking against a general Bayesian-network library (bayesjs, junction tree), on random small trees: one node for
// the cause with a child for each check. Kind of check: computed by an independent program.

import bayesjs from 'bayesjs'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { noHistory } from '../../server/diagnosis/ranking/cause-counts.ts'
import { type Likelihood, likelihoodOf } from '../../server/diagnosis/ranking/likelihood.ts'
import { priors } from '../../server/diagnosis/ranking/priors.ts'
import { rank } from '../../server/diagnosis/ranking/rank.ts'
import { chances } from '../../server/diagnosis/ranking/strengths.ts'
import { causeKey } from '../../server/knowledge/graph.ts'
import { findingsAt, randomTrees } from '../diagnosis/random-trees.ts'

/**
 * The cause node's states: each cause as it shows on the way to it alone, each as it shows at other checks too, and the
 * two forms of something not in the tree.
 */
function networkOf(l: Likelihood) {
  const prior = priors(l.scope.causes, noHistory).map(item => item.probability)
  const outside = prior.pop() ?? 0
  const keys = l.scope.causes.map(causeKey)
  const states = [...keys, ...keys.map(wide), 'healthy', 'anything']
  const parts = [
    ...prior.map(part => part * (1 - chances.showsElsewhere)),
    ...prior.map(part => part * chances.showsElsewhere),
    outside * chances.outsideHealthy,
    outside * (1 - chances.outsideHealthy),
  ]
  const cause = {
    id: 'cause',
    states,
    parents: [],
    cpt: Object.fromEntries(states.map((s, i) => [s, parts[i] ?? 0])),
  }
  const checks = l.scope.checks.map((check, at) => {
    const rows = check.rows.map(row => row.label)
    const chance = (state: number, row: number) => {
      const any = l.anyChance[at]?.[row] ?? 0
      const cause = state % keys.length
      const plain = l.chance[at]?.[cause * rows.length + row] ?? 0
      if (state < keys.length) return plain
      if (state < 2 * keys.length) return l.onWay[at]?.[cause] ? plain : any
      return states[state] === 'healthy' ? (l.healthyChance[at]?.[row] ?? 0) : any
    }
    const cpt = states.map((state, index) => ({
      when: { cause: state },
      // biome-ignore lint/suspicious/noThenProperty: the library's own name for a row of its tables.
      then: Object.fromEntries(rows.map((label, row) => [label, chance(index, row)])),
    }))
    return { id: check.slug, states: rows, parents: ['cause'], cpt }
  })
  return Object.fromEntries([cause, ...checks].map(node => [node.id, node]))
}

function wide(cause: string): string {
  return `${cause} elsewhere too`
}

describe('the ranking of single causes', () => {
  it('is that of a general network library', () => {
    const cases = randomTrees(6, 4).chain(tree => fc.tuple(fc.constant(tree), findingsAt(tree)))
    let told = 0
    fc.assert(
      fc.property(cases, ([tree, findings]) => {
        const l = likelihoodOf(tree, 'dead')
        if (!l) throw new Error('no tree')
        const reached = findings.filter(
          f => f.kind === 'reading' && l.scope.checkAt.has(`dead#${f.check.check}`),
        )
        const given = Object.fromEntries(
          reached.flatMap(f => (f.kind === 'reading' ? [[f.check.check, f.verdict.side]] : [])),
        )
        const ranking = rank(tree, 'dead', findings, noHistory)
        const network = networkOf(l)
        for (const { cause, probability } of ranking.causes) {
          const ways = [causeKey(cause), wide(causeKey(cause))]
          const expected = ways.reduce((sum, way) => sum + bayesjs.infer(network, { cause: way }, given), 0)
          expect(probability).toBeCloseTo(expected, 9)
        }
        told += reached.length
      }),
      { seed: 20261125, numRuns: 120 },
    )
    expect(told).toBeGreaterThan(120)
  })
})
