// The constants of the ranking, by what they make of a history. That they are as large as they are is common practice,
// no published source; what follows from them is computed here with a general library.

import { describe, expect, it } from 'vitest'
import { type CauseCounts, noHistory } from '../../server/diagnosis/ranking/cause-counts.ts'
import { priors } from '../../server/diagnosis/ranking/priors.ts'
import { knowledgeOf } from '../diagnosis/trees.ts'

const kit = knowledgeOf({}, { k0: { share: 1 }, k1: { share: 1 } }).equipment.get('set')
const causes = [...(kit?.causes.values() ?? [])]

function chanceOfFirst(history: Partial<CauseCounts>): number {
  return priors(causes, { ...noHistory, ...history })[0]?.probability ?? Number.NaN
}

// Computed: two causes at 0.475, 0.05 kept aside; scipy 1.17 dirichlet_multinomial.pmf at strengths 25 and 4 (a tenth
// have a habit), 15 and 1 (0.15 of the positions, a tenth of the units), mixed by Bayes.
describe('what two causes alike are worth after so many faults', () => {
  it.each([
    [1, 0, 0.503673076923077, 0.542265625, 0.53078125],
    [3, 0, 0.555101684688468, 0.6490448464799552, 0.6233612393867687],
    [4, 2, 0.5188198954046039, 0.5391051247629655, 0.5358366056986675],
  ])('%d and %d: at the site, here, with the unit', (first, second, site, position, unit) => {
    const counts = new Map([
      ['set/k0', first],
      ['set/k1', second],
    ])
    expect(chanceOfFirst({ site: counts })).toBeCloseTo(site, 12)
    expect(chanceOfFirst({ position: counts })).toBeCloseTo(position, 12)
    expect(chanceOfFirst({ units: [{ unit: 'module 1', counts }] })).toBeCloseTo(unit, 12)
  })
})
