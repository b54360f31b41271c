import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type NextOptions, nextCheck } from '../../../server/diagnosis/ordering/next-check.ts'
import { type CauseCounts, noHistory } from '../../../server/diagnosis/ranking/cause-counts.ts'
import { rank } from '../../../server/diagnosis/ranking/rank.ts'
import type { Knowledge } from '../../../server/knowledge/types.ts'
import type { Finding } from '../../../server/walk/record.ts'
import { found, rejected } from '../found.ts'
import { findingsAt, randomTrees } from '../random-trees.ts'
import { type CheckPart, knowledgeOf } from '../trees.ts'

const causes = { fuse: { share: 5 }, drive: { share: 2 }, contact: { share: 2 }, module: { share: 2 } }
const often: CauseCounts = { ...noHistory, position: new Map([['set/contact', 4]]) }

function chain(parts: Record<string, Partial<CheckPart>> = {}): Knowledge {
  const checks: Record<string, CheckPart> = {
    supply: { minutes: 3, rows: { 'in range': 'drive', none: '!fuse' }, ...parts.supply },
    drive: { minutes: 8, rows: { 'in range': 'contact', none: '!drive' }, ...parts.drive },
    contact: { minutes: 4, rows: { 'in range': 'output', above: '!contact' }, ...parts.contact },
    output: { minutes: 4, rows: { 'in range': '.nothing', none: '!module' }, ...parts.output },
  }
  return knowledgeOf({ dead: { checks } }, causes, [{ name: 'open the case', minutes: 3, needs: null }])
}

function next(knowledge: Knowledge, findings: Finding[], history = noHistory, options: NextOptions = {}) {
  const result = nextCheck(knowledge, 'dead', findings, rank(knowledge, 'dead', findings, history), options)
  if (!result) throw new Error('no tree')
  return result
}

describe('the next check', () => {
  it('is the author’s, with no suggestion, where the author’s order is good', () => {
    const result = next(chain(), [])
    expect(result.author?.slug).toBe('supply')
    expect(result.suggestion).toBeNull()
    expect(result.how).toBe('exact')
  })

  it('has a suggestion beside it where the history knows better, with its reason and saving', () => {
    const result = next(chain(), [], often)
    expect(result.author?.slug).toBe('supply')
    expect(result.suggestion?.check.slug).toBe('contact')
    expect(result.suggestion?.words).toMatch(/^contact first: about \d+ minutes sooner here\.$/)
    expect(result.suggestion?.reason).toBe(
      'It proves “contact” if that is the cause, as it may well be here.',
    )
    expect(result.minutes.author - result.minutes.suggested).toBeCloseTo(result.suggestion?.saves ?? 0, 9)
  })

  it('costs the author’s order by the walk to each cause', () => {
    const certain = (slug: string): CauseCounts => ({
      ...noHistory,
      position: new Map([[`set/${slug}`, 1e9]]),
    })
    expect(next(chain(), [], certain('fuse')).minutes.author).toBeCloseTo(3, 3)
    expect(next(chain(), [], certain('contact')).minutes.author).toBeCloseTo(15, 3)
  })

  it('pays for an access once', () => {
    const inCase = { access: 'open the case' }
    const certain: CauseCounts = { ...noHistory, position: new Map([['set/contact', 1e9]]) }
    const knowledge = chain({ drive: inCase, contact: inCase })
    expect(next(knowledge, [], certain).minutes.author).toBeCloseTo(18, 3)
    expect(next(knowledge, [found('supply', 'in range')], certain).minutes.author).toBeCloseTo(15, 3)
    const open = [found('supply', 'in range'), found('drive', 'in range')]
    expect(next(knowledge, open, certain).minutes.author).toBeCloseTo(4, 3)
  })

  it('is over at the proven cause', () => {
    const result = next(chain(), [found('supply', 'none')])
    expect(result).toMatchObject({ author: null, suggestion: null, proven: true })
    expect(result.minutes).toEqual({ author: 0, suggested: 0, least: 0 })
  })

  it('goes on after a cause was ruled out', () => {
    const result = next(chain(), [found('supply', 'none'), rejected('fuse')])
    expect(result.proven).toBe(false)
    expect(result.author?.slug).toBe('drive')
  })
})

describe('what is not put out of order', () => {
  it('a check that names another among its needs', () => {
    const result = next(chain({ contact: { needs: ['Drive measured: see drive'] } }), [], often)
    expect(result.suggestion?.check.slug).not.toBe('contact')
  })

  it('a check that disturbs something, while checks are wanted that come before it in the tree', () => {
    const parts = { contact: { disturbs: 'the link is out' } }
    expect(next(chain(), [], often).suggestion?.check.slug).toBe('contact')
    expect(next(chain(parts), [], often).suggestion?.check.slug).not.toBe('contact')
  })

  it('a check that disturbs something, while the evidence is held', () => {
    const parts = { contact: { disturbs: 'the link is out' } }
    const done = [found('supply', 'in range'), found('drive', 'in range')]
    expect(next(chain(parts), done, often).author?.slug).toBe('contact')
    expect(next(chain(parts), done, often, { hold: true }).suggestion?.check.slug).not.toBe('contact')
  })

  it('earlier checks, once something is out that only comes out after them, until it is back', () => {
    const parts = { contact: { disturbs: 'the link is out' } }
    const certain: CauseCounts = { ...noHistory, position: new Map([['set/drive', 50]]) }
    const findings: Finding[] = [
      {
        ...found('supply', 'in range'),
        kind: 'departure',
        from: 'dead#supply',
        to: { tree: 'dead', check: 'contact' },
        suggested: true,
      } as Finding,
      found('contact', 'in range'),
    ]
    const offers = (options: NextOptions) =>
      next(chain(parts), findings, certain, options).suggestion?.check.slug
    expect(offers({})).toBeUndefined()
    expect(offers({ putBack: ['dead#contact'] })).toBe('drive')
  })

  describe('after a check was taken out of its order', () => {
    const jumped = (findings: Finding[]): Finding[] => [
      found('supply', 'in range'),
      {
        ...found('supply', ''),
        kind: 'departure',
        from: 'dead#drive',
        to: { tree: 'dead', check: 'look' },
      } as Finding,
      found('look', 'in range'),
      ...findings,
    ]
    const tree = knowledgeOf(
      {
        dead: {
          checks: {
            supply: { minutes: 3, rows: { 'in range': 'drive', none: '!fuse' } },
            drive: { minutes: 8, rows: { 'in range': 'look', none: '!drive' }, cautions: ['Live parts.'] },
            look: { minutes: 1, rows: { 'in range': 'contact', below: '.nothing' } },
            contact: {
              minutes: 4,
              rows: { none: '!module', above: '!contact' },
              disturbs: 'the link is out',
            },
          },
        },
      },
      causes,
    )

    it('the one that the next check in the tree relies on comes first, whatever it saves', () => {
      const result = next(tree, jumped([]), often)
      expect(result.author?.slug).toBe('contact')
      expect(result.suggestion).toMatchObject({
        check: { slug: 'drive' },
        words: 'drive first.',
        reason: '“contact” relies on it.',
      })
    })

    it('the tree goes on once that is done', () => {
      const result = next(tree, jumped([found('drive', 'in range')]), often)
      expect(result.author?.slug).toBe('contact')
      expect(result.suggestion).toBeNull()
    })
  })

  describe('a check of another tree', () => {
    const loops: CauseCounts = { ...noHistory, position: new Map([['set/module', 9]]) }
    const two = (caution: string, findings: Finding[]) => {
      const supply = { minutes: 9, rows: { 'in range': 'far#ends', none: '!fuse', below: '!drive' } }
      const ends = { minutes: 9, rows: { whole: 'loop', broken: '!contact' } }
      const loop = { minutes: 1, rows: { whole: '.nothing', broken: '!module' } }
      const knowledge = knowledgeOf({ dead: { checks: { supply } }, far: { checks: { ends, loop } } }, causes)
      knowledge.trees.get('far')?.cautions.push(caution)
      return next(knowledge, findings, loops).suggestion
    }

    it('comes with the cautions that its tree opens with', () => {
      const suggestion = two('**Caution** Trains run here.', [])
      expect(suggestion?.check.slug).toBe('loop')
      expect(suggestion?.cautions).toEqual(['**Caution** Trains run here.'])
    })

    it('waits until the walk is led there, where that tree opens with a warning', () => {
      expect(two('**Warning** Trains run here.', [])).toBeNull()
      expect(two('**Warning** Trains run here.', [found('supply', 'in range')])?.check.slug).toBe('loop')
    })
  })
})

describe('on any tree and findings', () => {
  it('gives finite minutes in the right order and suggests only what can be done', () => {
    const cases = randomTrees(7).chain(tree =>
      fc.tuple(fc.constant(tree), findingsAt(tree), fc.boolean(), fc.boolean()),
    )
    fc.assert(
      fc.property(cases, ([tree, findings, hold, intermittent]) => {
        const ranking = rank(tree, 'dead', findings, noHistory, { intermittent })
        const result = nextCheck(tree, 'dead', findings, ranking, { hold, intermittent })
        if (!result) throw new Error('no tree')
        const { author, suggested, least } = result.minutes
        expect(Number.isFinite(author) && Number.isFinite(suggested)).toBe(true)
        expect(suggested).toBeLessThanOrEqual(author + 1e-9)
        expect(least).toBeLessThanOrEqual(suggested + 1e-9)
        const done = findings.map(finding => ('check' in finding ? finding.check.check : ''))
        if (result.suggestion) expect(done).not.toContain(result.suggestion.check.slug)
        if (result.suggestion && hold) expect(result.suggestion.check.disturbs).toBeNull()
      }),
      { seed: 21, numRuns: 400 },
    )
  })

  it('makes sense of one cause, a share of 0 and checks that take no time', () => {
    const one = knowledgeOf(
      { dead: { checks: { a: { minutes: 0, rows: { none: '!k' } } } } },
      { k: { share: 0 } },
    )
    const ranking = rank(one, 'dead', [], noHistory)
    expect(nextCheck(one, 'dead', [], ranking)).toMatchObject({ suggestion: null, minutes: { author: 0 } })
    expect(nextCheck(one, 'gone', [], ranking)).toBeNull()
  })
})
