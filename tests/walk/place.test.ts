import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { placeKey, type Walk, walk } from '../../server/walk/place.ts'
import type { Finding } from '../../server/walk/record.ts'
import { causeKeys, checkSlugs, knowledge, treeSlug } from './small-knowledge.ts'
import { cannotTell, departure, reading, rejection, seen } from './small-record.ts'

// How a walk moves is our own definition; common practice, no published source.

const go = (findings: Finding[]) => walk(knowledge, treeSlug, findings)
const standing = (findings: Finding[]) => placeKey(go(findings).place)

describe('a walk', () => {
  it('begins at the start of the tree', () => {
    expect(standing([])).toBe('output-dead#supply')
  })

  it('follows each finding to the next check, to a cause and to an end', () => {
    expect(standing([reading(1, 'supply', 'none')])).toBe('output-dead#fuse')
    expect(standing([reading(1, 'supply', 'none'), seen(2, 'fuse', 'blown')])).toBe(
      'loop-transmitter/fuse-blown',
    )
    const healthy = ['supply', 'drive', 'contact'].map((check, i) => reading(i + 1, check, 'in range'))
    expect(standing(healthy)).toBe('output-dead#nothing-found')
  })

  it('says why it went where it went', () => {
    const [step] = go([reading(1, 'supply', 'below')]).path
    expect(step?.because).toBe('96.4 V AC is below, so: Means otherwise.')
  })

  it('goes round a circle once for each finding', () => {
    const once = [reading(1, 'supply', 'in range'), reading(2, 'drive', 'none')]
    expect(standing(once)).toBe('output-dead#supply')
    expect(standing([...once, reading(3, 'supply', 'none')])).toBe('output-dead#fuse')
  })

  it('lets the technician choose another row, and calls it a deviation', () => {
    const { place, path } = go([
      reading(1, 'supply', 'in range', { chosenRow: 'none', reason: 'meter is doubtful' }),
    ])
    expect(placeKey(place)).toBe('output-dead#fuse')
    expect(path[0]).toMatchObject({ deviation: true, judgement: false })
    expect(path[0]?.because).toContain('meter is doubtful')
  })

  it('does not call it a deviation to choose the row the reading points at', () => {
    const [step] = go([reading(1, 'supply', 'none', { chosenRow: 'None' })]).path
    expect(step?.deviation).toBe(false)
  })

  it('takes a choice where nothing else decides as judgement', () => {
    const { place, path } = go([cannotTell(1, 'supply', 'in range')])
    expect(placeKey(place)).toBe('output-dead#drive')
    expect(path[0]).toMatchObject({ deviation: false, judgement: true })
  })

  it('stays at the check when no row stands for what was found', () => {
    const { place, path } = go([cannotTell(1, 'supply')])
    expect(placeKey(place)).toBe('output-dead#supply')
    expect(path[0]).toMatchObject({ row: null })
  })

  it('leaves the path for another check', () => {
    const { place, path } = go([departure(1, 'output-dead#supply', 'contact')])
    expect(placeKey(place)).toBe('output-dead#contact')
    expect(path[0]).toMatchObject({ kind: 'departure', deviation: true })
  })

  it('offers the checks not done yet, in the author’s order, when a cause is ruled out', () => {
    const found = [reading(1, 'supply', 'none'), seen(2, 'fuse', 'blown')]
    const { place, rejected } = go([...found, rejection(3, 'loop-transmitter/fuse-blown')])
    expect(place.kind === 'choose' && place.offers.map(check => check.slug)).toEqual(['drive', 'contact'])
    expect(rejected).toEqual(['loop-transmitter/fuse-blown'])
  })

  it('goes on from a ruled-out cause by the check that is picked', () => {
    const found = [reading(1, 'supply', 'below'), rejection(2, 'loop-transmitter/feeder', true)]
    const after = placeKey(go(found).place)
    expect(standing([...found, departure(3, after, 'drive')])).toBe('output-dead#drive')
  })

  it('puts a correction in the place of what it corrects, through a chain', () => {
    const first = reading(1, 'supply', 'in range')
    const second = reading(2, 'drive', 'below')
    const corrected = reading(3, 'supply', 'below', { replaces: 'f1', reason: 'wrong range' })
    const again = reading(4, 'supply', 'none', { replaces: 'f3' })
    const { place, offPath, struck } = go([first, second, corrected, again])
    expect(placeKey(place)).toBe('output-dead#fuse')
    expect(offPath).toEqual([second])
    expect(struck.map(pair => [pair.old.id, pair.by.id])).toEqual([
      ['f1', 'f3'],
      ['f3', 'f4'],
    ])
  })

  it('is lost, in words, when the edition does not hold the tree', () => {
    const { place } = walk(knowledge, 'no-such-tree', [reading(1, 'supply', 'none')])
    expect(place).toMatchObject({ kind: 'lost', message: expect.stringContaining('no-such-tree') })
  })
})

describe('any sequence of findings', () => {
  it('leads somewhere and loses nothing', () => {
    fc.assert(
      fc.property(someFindings(), findings => {
        const result = go(findings)
        expect(['check', 'cause', 'end', 'choose', 'lost']).toContain(result.place.kind)
        expect(idsIn(result).sort()).toEqual(findings.map(finding => finding.id).sort())
      }),
      { seed: 4700 },
    )
  })

  it('walks each beginning of it as the beginning of the whole path', () => {
    fc.assert(
      fc.property(someFindings({ corrections: false }), fc.nat(20), (findings, length) => {
        const part = go(findings.slice(0, length)).path
        const whole = go(findings).path
        expect(part).toEqual(whole.slice(0, part.length))
      }),
      { seed: 4700 },
    )
  })

  it('gives the same place whether a finding was corrected or found so at first', () => {
    fc.assert(
      fc.property(
        someFindings({ corrections: false }),
        fc.nat(19),
        oneCheckFinding(),
        (findings, pick, right) => {
          fc.pre(findings.length > 0)
          const index = pick % findings.length
          const wrong = findings[index]
          fc.pre(wrong !== undefined)
          const atFirst = findings.map(one =>
            one === wrong ? { ...right, id: wrong.id, seq: wrong.seq } : one,
          )
          const correction = {
            ...right,
            id: 'correction',
            seq: findings.length + 1,
            replaces: wrong?.id ?? '',
          }
          expect(standing([...findings, correction])).toBe(standing(atFirst))
        },
      ),
      { seed: 4700 },
    )
  })

  it('does not mind the order in which the rows come out of the database', () => {
    fc.assert(
      fc.property(shuffled(), ({ findings, mixed }) => {
        expect(go(mixed)).toEqual(go(findings))
      }),
      { seed: 4700 },
    )
  })

  it('stands where it stood when findings from elsewhere are merged in', () => {
    fc.assert(
      fc.property(someFindings(), fc.array(fc.nat(20), { maxLength: 5 }), (findings, places) => {
        const foreign = places.map((place, i) => ({
          ...reading(0, 'no-such-check', 'none'),
          id: `foreign${i}`,
          seq: place + 0.5,
        }))
        const merged = go([...findings, ...foreign])
        expect(merged.place).toEqual(go(findings).place)
        expect(merged.offPath).toEqual(expect.arrayContaining(foreign))
      }),
      { seed: 4700 },
    )
  })

  it('never throws on an edition that knows nothing', () => {
    fc.assert(
      fc.property(someFindings(), findings => {
        const nothing = { equipment: new Map(), trees: new Map() }
        expect(walk(nothing, treeSlug, findings).place.kind).toBe('lost')
      }),
      { seed: 4700 },
    )
  })
})

function idsIn({ path, offPath, struck }: Walk): string[] {
  return [
    ...path.map(step => step.finding.id),
    ...offPath.map(one => one.id),
    ...struck.map(pair => pair.old.id),
  ]
}

function oneCheckFinding(): fc.Arbitrary<Finding> {
  const slug = fc.constantFrom(...checkSlugs, 'no-such-check')
  const side = fc.constantFrom('in range', 'below', 'above', 'none', 'open', 'unknown')
  const chosenRow = fc.constantFrom(undefined, undefined, 'in range', 'none', 'no such row')
  return fc.oneof(
    fc
      .tuple(slug, side, chosenRow)
      .map(([check, where, row]) => reading(0, check, where, { chosenRow: row })),
    fc.tuple(slug, fc.constantFrom('blown', 'whole', 'melted')).map(([check, word]) => seen(0, check, word)),
    fc.tuple(slug, chosenRow).map(([check, row]) => cannotTell(0, check, row ?? null)),
  )
}

function anyFinding(): fc.Arbitrary<Finding> {
  const keys = [
    ...checkSlugs.map(slug => `output-dead#${slug}`),
    ...causeKeys,
    'choose:loop-transmitter/feeder',
  ]
  const from = fc.constantFrom(...keys, 'nowhere')
  const to = fc.constantFrom(...checkSlugs, 'no-such-check')
  return fc.oneof(
    { weight: 6, arbitrary: oneCheckFinding() },
    { weight: 2, arbitrary: fc.tuple(from, to).map(([left, went]) => departure(0, left, went)) },
    { weight: 1, arbitrary: fc.constantFrom(...causeKeys, 'no/such').map(cause => rejection(0, cause)) },
  )
}

/** Findings numbered as they came; with corrections, some replace an earlier one that nothing else replaces. */
function someFindings({ corrections = true } = {}): fc.Arbitrary<Finding[]> {
  const drawn = fc.tuple(anyFinding(), corrections ? fc.option(fc.nat(19)) : fc.constant(null))
  return fc.array(drawn, { maxLength: 20 }).map(list => {
    const replaced = new Set<number>()
    return list.map(([finding, back], i) => {
      const old = back === null || back >= i || replaced.has(back) ? null : back
      if (old !== null) replaced.add(old)
      const replaces = old === null ? null : `id${old}`
      return { ...finding, id: `id${i}`, seq: i + 1, replaces }
    })
  })
}

function shuffled() {
  return someFindings().chain(findings =>
    fc
      .shuffledSubarray(findings, { minLength: findings.length, maxLength: findings.length })
      .map(mixed => ({ findings, mixed })),
  )
}
