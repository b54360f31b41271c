import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { noHistory } from '../../../server/diagnosis/ranking/cause-counts.ts'
import { type Ranking, rank } from '../../../server/diagnosis/ranking/rank.ts'
import { found, reading, rejected } from '../found.ts'
import { findingsAt, randomTrees } from '../random-trees.ts'
import { knowledgeOf } from '../trees.ts'

const knowledge = knowledgeOf(
  {
    dead: {
      checks: {
        supply: { rows: { 'in range': 'drive', below: '!feeder', none: '!fuse', 'cannot tell': 'drive' } },
        drive: { rows: { 'in range': 'output', none: '!drive' } },
        output: { rows: { 'in range': '.nothing', none: '!module' } },
      },
    },
  },
  { fuse: { share: 5 }, feeder: { share: 1 }, drive: { share: 3 }, module: { share: 2 } },
)

const by = (ranking: Ranking, slug: string) => {
  const item = ranking.causes.find(({ cause }) => cause.slug === slug)
  if (!item) throw new Error(slug)
  return item
}
const order = (ranking: Ranking) => ranking.causes.map(({ cause }) => cause.slug)

describe('ranking', () => {
  it('before any finding goes by the shares', () => {
    expect(order(rank(knowledge, 'dead', [], noHistory))).toEqual(['fuse', 'drive', 'module', 'feeder'])
  })

  it('moves with what is found, and names the finding that rules a cause out', () => {
    const supply = found('supply', 'in range')
    const ranking = rank(knowledge, 'dead', [supply], noHistory)
    expect(order(ranking).slice(0, 2)).toEqual(['drive', 'module'])
    expect(by(ranking, 'fuse').ruledOutBy).toBe(supply)
    expect(by(ranking, 'drive').ruledOutBy).toBeNull()
    expect(by(ranking, 'fuse').terms.at(-1)?.words).toBe('supply: in range. Rules this down.')
  })

  it('follows a correction, and the last finding at a check', () => {
    const first = found('supply', 'in range')
    const mended = { ...found('supply', 'none'), replaces: first.id }
    expect(order(rank(knowledge, 'dead', [first, mended], noHistory))[0]).toBe('fuse')
    expect(order(rank(knowledge, 'dead', [first, found('supply', 'below')], noHistory))[0]).toBe('feeder')
  })

  it('takes "cannot tell" as no information', () => {
    const before = rank(knowledge, 'dead', [], noHistory)
    const after = rank(knowledge, 'dead', [found('supply', 'cannot tell')], noHistory)
    expect(after.causes.map(item => item.probability)).toEqual(before.causes.map(item => item.probability))
  })

  it('takes a reading too close to call as likelihood, between the two rows', () => {
    const odds = (side: 'in range' | 'below', zone: 'in' | 'in, close' | 'out', chance: number | null) =>
      by(rank(knowledge, 'dead', [reading('supply', side, zone, chance)], noHistory), 'feeder').probability
    const [clear, close, out] = [
      odds('in range', 'in', 1),
      odds('in range', 'in, close', 0.6),
      odds('below', 'out', 0),
    ]
    expect(close).toBeGreaterThan(clear)
    expect(close).toBeLessThan(out)
    const ranking = rank(knowledge, 'dead', [reading('supply', 'in range', 'in, close', 0.6)], noHistory)
    expect(by(ranking, 'feeder').ruledOutBy).toBeNull()
    expect(by(ranking, 'feeder').terms.at(-1)?.words).toContain('too close to call')
  })

  it('rules nothing out by a healthy finding when the symptom comes and goes', () => {
    const supply = [found('supply', 'in range')]
    const ranking = rank(knowledge, 'dead', supply, noHistory, { intermittent: true })
    expect(ranking.flattened).toBe(true)
    expect(by(ranking, 'fuse').ruledOutBy).toBeNull()
    expect(by(ranking, 'fuse').probability).toBeGreaterThan(
      5 * by(rank(knowledge, 'dead', supply, noHistory), 'fuse').probability,
    )
  })

  it('puts a cause down whose proof failed, and keeps it possible', () => {
    const ranking = rank(knowledge, 'dead', [found('supply', 'none'), rejected('fuse')], noHistory)
    expect(by(ranking, 'fuse').ruledOutBy).not.toBeNull()
    expect(by(ranking, 'fuse').probability).toBeGreaterThan(0)
    expect(by(ranking, 'fuse').probability).toBeLessThan(0.5)
  })

  describe('after a mended cause was ruled out by its proof', () => {
    const branched = knowledgeOf(
      {
        dead: {
          checks: {
            supply: { rows: { 'in range': 'drive', none: '!fuse' } },
            drive: { rows: { 'in range': 'output', none: '!wire' } },
            output: { rows: { below: 'load', none: '!module' } },
            load: { rows: { 'in range': '!cable', above: '!joint', below: '!arrester' } },
          },
        },
      },
      {
        fuse: { share: 20 },
        wire: { share: 5 },
        module: { share: 3 },
        cable: { share: 2 },
        joint: { share: 1 },
        arrester: { share: 1 },
      },
    )
    const upTo = (load: string) => [
      found('supply', 'in range'),
      found('drive', 'in range'),
      found('output', 'below'),
      found('load', load),
    ]
    const failedAt = (load: string, cause: string) =>
      rank(branched, 'dead', [...upTo(load), rejected(cause, true)], noHistory)

    it('raises what lies behind the same findings, and not what was measured well', () => {
      const ranking = failedAt('above', 'joint')
      expect(order(ranking).slice(0, 2)).toEqual(['cable', 'arrester'])
      expect(by(ranking, 'cable').ruledOutBy).toBeNull()
      expect(by(ranking, 'fuse').ruledOutBy).toMatchObject({ check: { check: 'supply' } })
      expect(ranking.fits).toBe(true)
    })

    it('keeps a reading in range in force, though it led to the cause ruled out', () => {
      const ranking = failedAt('in range', 'cable')
      expect(by(ranking, 'joint').ruledOutBy).toMatchObject({ check: { check: 'load' } })
      expect(by(ranking, 'joint').terms.some(term => term.name === 'load' && term.factor < 1)).toBe(true)
    })

    it('puts it behind others, though it is by far the commonest', () => {
      const ranking = rank(branched, 'dead', [found('supply', 'none'), rejected('fuse', true)], noHistory)
      expect(order(ranking)[0]).not.toBe('fuse')
    })
  })

  it('lets something outside the tree grow when everything is healthy', () => {
    const all = [found('supply', 'in range'), found('drive', 'in range'), found('output', 'in range')]
    const ranking = rank(knowledge, 'dead', all, noHistory)
    expect(ranking.outside.probability).toBeGreaterThan(0.4)
    expect(ranking.fits).toBe(false)
    expect(ranking.words).toBe('No cause in this tree fits what was found. Look at the findings again.')
  })

  it('keeps its head where the findings contradict each other, and ranks pairs', () => {
    const both = [found('supply', 'none'), found('drive', 'none')]
    const ranking = rank(knowledge, 'dead', both, noHistory)
    expect(ranking.fits).toBe(false)
    expect(ranking.pairs[0]?.causes.map(cause => cause.slug).sort()).toEqual(['drive', 'fuse'])
    expect(ranking.words).toContain('No single cause fits')
    expect(ranking.outside.probability).toBeGreaterThan(0.05)
  })

  it('has no pairs while a single cause fits', () => {
    expect(rank(knowledge, 'dead', [found('supply', 'none')], noHistory).pairs).toEqual([])
  })

  it('makes sense of a tree that it does not know, or that has one cause only', () => {
    expect(rank(knowledge, 'unknown', [], noHistory)).toMatchObject({
      causes: [],
      outside: { probability: 1 },
    })
    const one = knowledgeOf({ dead: { checks: { a: { rows: { none: '!k' } } } } }, { k: { share: 0 } })
    const ranking = rank(one, 'dead', [found('a', 'none')], noHistory)
    expect(ranking.causes[0]?.probability).toBeGreaterThan(0.9)
    expect(ranking.causes[0]?.probability).toBeLessThan(1)
  })
})

describe('whatever was found', () => {
  it('the probabilities add up to 1 and are the products of their terms', () => {
    const cases = randomTrees(7).chain(tree => fc.tuple(fc.constant(tree), findingsAt(tree), fc.boolean()))
    fc.assert(
      fc.property(cases, ([tree, findings, intermittent]) => {
        const ranking = rank(tree, 'dead', findings, noHistory, { intermittent })
        const all = [...ranking.causes, ranking.outside]
        expect(all.reduce((sum, item) => sum + item.probability, 0)).toBeCloseTo(1, 9)
        for (const { probability, terms } of all) {
          expect(probability).toBeGreaterThanOrEqual(0)
          expect(terms.reduce((product, term) => product * term.factor, 1)).toBeCloseTo(probability, 9)
        }
        for (const pair of ranking.pairs) expect(pair.probability).toBeGreaterThan(0)
      }),
      { seed: 11, numRuns: 300 },
    )
  })

  it('does not depend on the order of findings at different checks', () => {
    const cases = randomTrees(6).chain(tree => fc.tuple(fc.constant(tree), findingsAt(tree)))
    fc.assert(
      fc.property(cases, ([tree, findings]) => {
        const back = [...findings].reverse().map((finding, index) => ({ ...finding, seq: index + 1 }))
        const [a, b] = [rank(tree, 'dead', findings, noHistory), rank(tree, 'dead', back, noHistory)]
        for (const item of a.causes)
          expect(by(b, item.cause.slug).probability).toBeCloseTo(item.probability, 9)
      }),
      { seed: 12 },
    )
  })
})
