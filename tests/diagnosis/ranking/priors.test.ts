import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type CauseCounts, noHistory } from '../../../server/diagnosis/ranking/cause-counts.ts'
import { type Prior, priors } from '../../../server/diagnosis/ranking/priors.ts'
import { chances, strengths } from '../../../server/diagnosis/ranking/strengths.ts'
import { knowledgeOf } from '../trees.ts'

function causesOf(shares: number[]) {
  const parts = Object.fromEntries(shares.map((share, index) => [`k${index}`, { share }]))
  return [...(knowledgeOf({}, parts).equipment.get('set')?.causes.values() ?? [])]
}

const counted = (part: Partial<CauseCounts>): CauseCounts => ({ ...noHistory, ...part })
const seen = (...pairs: [string, number][]) => new Map(pairs.map(([slug, n]) => [`set/${slug}`, n]))
const of = (list: Prior[], slug: string) =>
  list.find(prior => prior.key.endsWith(slug))?.probability ?? Number.NaN

describe('priors', () => {
  it('without history are the shares, with room kept for what no tree foresees', () => {
    const list = priors(causesOf([6, 3, 1]), noHistory)
    expect(of(list, 'k0')).toBeCloseTo(0.6 * (1 - chances.outside), 12)
    expect(of(list, 'outside')).toBeCloseTo(chances.outside, 12)
  })

  it('move by (count + strength × before) / (all + strength)', () => {
    const list = priors(causesOf([1, 1]), counted({ elsewhere: seen(['k0', 4], ['k1', 1]) }))
    const [before, strength] = [(1 - chances.outside) / 2, strengths.share.usual]
    expect(of(list, 'k0')).toBeCloseTo((4 + strength * before) / (5 + strength), 12)
    expect(list[0]?.terms.at(-1)?.words).toBe('4 of 5 earlier faults at other sites.')
  })

  it('mix two strengths for a place that may have a habit of its own', () => {
    const list = priors(causesOf([1, 1]), counted({ position: seen(['k0', 1]) }))
    const { usual, own, part } = strengths.position
    const before = (1 - chances.outside) / 2
    const held = (strength: number) => (1 + strength * before) / (1 + strength)
    // One fault alone does not tell which it is.
    expect(of(list, 'k0')).toBeCloseTo(part * held(own) + (1 - part) * held(usual), 12)
  })

  it('take one fault here for little, and the same three times over for a habit', () => {
    const times = (n: number) =>
      of(priors(causesOf([1, 1, 1, 1, 1, 1]), counted({ position: seen(['k0', n]) })), 'k0')
    expect(times(1)).toBeLessThan(0.4)
    expect(times(3)).toBeGreaterThan(0.5)
    expect(times(6)).toBeGreaterThan(0.8)
  })

  it('put causes of other trees behind those of this one', () => {
    const list = priors(causesOf([1, 1]), noHistory, [0, 1])
    expect(of(list, 'k1') / of(list, 'k0')).toBeCloseTo(chances.otherTree, 12)
    expect(of(list, 'outside')).toBeCloseTo(chances.outside, 12)
  })

  it('let causes never seen keep their shares of what is left', () => {
    const list = priors(causesOf([6, 3, 1]), counted({ position: seen(['k0', 3]) }))
    expect(of(list, 'k1') / of(list, 'k2')).toBeCloseTo(3, 12)
    expect(of(list, 'k2')).toBeGreaterThan(0)
  })

  it('count this position for more than this site, and this site for more than others', () => {
    const one = seen(['k1', 1])
    const here = of(priors(causesOf([5, 1]), counted({ position: one })), 'k1')
    const site = of(priors(causesOf([5, 1]), counted({ site: one })), 'k1')
    const other = of(priors(causesOf([5, 1]), counted({ elsewhere: one })), 'k1')
    expect(here).toBeGreaterThan(site)
    expect(site).toBeGreaterThan(other)
  })

  it('take a unit with a past into account, by its name', () => {
    const unit = { unit: 'transmitter module 1234', counts: seen(['k1', 2]) }
    const list = priors(causesOf([5, 1]), counted({ units: [unit] }))
    expect(of(list, 'k1')).toBeGreaterThan(0.2)
    expect(list[1]?.terms.at(-1)?.words).toContain('with transmitter module 1234 elsewhere')
  })

  it('use a season only where the history shows that it matters', () => {
    const all = seen(['k0', 60], ['k1', 30])
    const autumn = (k0: number, k1: number) =>
      counted({
        elsewhere: all,
        conditions: [{ name: 'season', value: 'autumn', counts: seen(['k0', k0], ['k1', k1]) }],
      })
    const plain = of(priors(causesOf([1, 1]), counted({ elsewhere: all })), 'k1')
    expect(of(priors(causesOf([1, 1]), autumn(15, 8)), 'k1')).toBeCloseTo(plain, 12)
    const matters = priors(causesOf([1, 1]), autumn(2, 25))
    expect(of(matters, 'k1')).toBeGreaterThan(plain + 0.1)
    expect(matters[1]?.terms.some(term => term.name === 'season')).toBe(true)
  })

  it('take a share of 0 as hardly ever, and no shares at all as all alike', () => {
    expect(of(priors(causesOf([5, 0]), noHistory), 'k1')).toBeGreaterThan(0)
    expect(of(priors(causesOf([5, 0]), noHistory), 'k1')).toBeLessThan(0.01)
    const alike = priors(causesOf([0, 0]), noHistory)
    expect(of(alike, 'k0')).toBe(of(alike, 'k1'))
  })

  it('give everything to the outside when there are no causes', () => {
    expect(priors([], noHistory)).toMatchObject([{ key: 'outside', probability: 1 }])
  })

  it('always add up to 1 and are the product of their terms', () => {
    const count = fc.dictionary(
      fc.constantFrom('set/k0', 'set/k1', 'outside', 'set/other', '__proto__'),
      fc.nat(30),
    )
    const counts = count.map(entries => new Map(Object.entries(entries)))
    const history = fc.record({
      elsewhere: counts,
      site: counts,
      position: counts,
      units: fc.array(fc.record({ unit: fc.string(), counts }), { maxLength: 2 }),
      conditions: fc.array(fc.record({ name: fc.string(), value: fc.string(), counts }), { maxLength: 2 }),
    })
    fc.assert(
      fc.property(fc.array(fc.nat(20), { minLength: 1, maxLength: 6 }), history, (shares, past) => {
        const list = priors(causesOf(shares), past)
        expect(list.reduce((sum, prior) => sum + prior.probability, 0)).toBeCloseTo(1, 9)
        for (const { probability, terms } of list) {
          expect(probability).toBeGreaterThan(0)
          expect(terms.reduce((product, term) => product * term.factor, 1)).toBeCloseTo(probability, 9)
        }
      }),
      { seed: 4 },
    )
  })
})
