import { describe, expect, it } from 'vitest'
import { treeCost } from '../../../server/diagnosis/judging/tree-cost.ts'
import { type CauseCounts, noHistory } from '../../../server/diagnosis/ranking/cause-counts.ts'
import { knowledgeOf } from '../trees.ts'

const knowledge = knowledgeOf(
  {
    dead: {
      checks: {
        label: { minutes: 2, rows: { seen: 'supply', 'cannot tell': 'supply' } },
        supply: { minutes: 10, rows: { 'in range': 'output', none: '!feeder' } },
        output: { minutes: 3, rows: { 'in range': '.nothing', none: '!module' } },
      },
    },
  },
  { feeder: { share: 1 }, module: { share: 9 } },
)

describe('what a tree costs', () => {
  const cost = treeCost(knowledge, 'dead', noHistory)

  it('is the minutes as written, and by the best order', () => {
    expect(cost?.minutes.author).toBeCloseTo(0.95 * (0.1 * 12 + 0.9 * 15) + 0.05 * 15, 9)
    expect(cost?.minutes.best).toBeCloseTo(0.95 * (0.9 * 3 + 0.1 * 13) + 0.05 * 13, 9)
    expect(cost?.how).toBe('exact')
    expect(cost?.order.author.map(check => check.slug)).toEqual(['label', 'supply', 'output'])
    expect(cost?.order.best.map(check => check.slug)).toEqual(['output', 'supply'])
  })

  it('names the checks that separate nothing', () => {
    expect(cost?.idle.map(check => check.slug)).toEqual(['label'])
  })

  it('gives steps, minutes, share and field evidence for each cause', () => {
    const seen: CauseCounts = { ...noHistory, elsewhere: new Map([['set/module', 7]]) }
    const ends = treeCost(knowledge, 'dead', seen)?.ends ?? []
    const module = ends.find(({ target }) => target.kind === 'cause' && target.cause === 'module')
    expect(module).toMatchObject({ steps: 3, minutes: 15, found: 7 })
    expect(module?.share).toBeGreaterThan(0.855)
  })

  it('moves with the real mix of causes', () => {
    const feeders: CauseCounts = { ...noHistory, elsewhere: new Map([['set/feeder', 500]]) }
    expect(treeCost(knowledge, 'dead', feeders)?.order.best[0]?.slug).toBe('supply')
  })

  it('is null for a tree that is not known', () => {
    expect(treeCost(knowledge, 'gone', noHistory)).toBeNull()
  })
})
