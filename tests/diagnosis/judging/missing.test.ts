import { describe, expect, it } from 'vitest'
import {
  blankLimits,
  factsNotKnown,
  instrumentsNotCarried,
  type Missing,
  mixOf,
  worthOfMissing,
} from '../../../server/diagnosis/judging/missing.ts'
import { keyOfCheck } from '../../../server/diagnosis/ordering/constraints.ts'
import { noHistory, type PastFault } from '../../../server/diagnosis/ranking/cause-counts.ts'
import type { Instrument } from '../../../server/measurement/instruments/instrument.ts'
import { shippedKnowledge } from '../../bench/shared.ts'
import { knowledgeOf } from '../trees.ts'

/** Two causes that one check parts, 20 and 40 minutes to mend; and a check that tells nothing. */
const knowledge = knowledgeOf(
  {
    dead: {
      checks: {
        reading: { minutes: 3, rows: { 'in range': '!a', below: '!b' } },
      },
    },
    dim: {
      checks: {
        look: { minutes: 7, rows: { 'in range': '.nothing', below: '!a' } },
      },
    },
  },
  { a: { share: 1, minutes: 20 }, b: { share: 1, minutes: 40 } },
)

function without(...checks: string[]): Missing {
  return { kind: 'limit', name: 'voltage', equipment: 'set', checks: new Set(checks), part: 1 }
}

const onlyDead = [{ tree: 'dead', share: 1, counts: noHistory }]

describe('the worth of what is missing', () => {
  it('is the minutes of checks and of repairs in vain that it adds', () => {
    // With the check: 3 minutes; something else entirely (5 %) shows as the first row and has that cause mended in vain.
    const whole = 3 + 0.05 * 20
    // Without: the first cause for its minutes is tried, then the other; something else has both mended in vain.
    const blind = 0.475 * 20 + 0.05 * (20 + 40)
    const [worth] = worthOfMissing(knowledge, onlyDead, [without('dead#reading')])
    expect(worth?.minutes).toBeCloseTo(blind - whole, 9)
  })

  it('counts by the share of the faults and of the positions', () => {
    const mix = [
      { tree: 'dead', share: 0.25, counts: noHistory },
      { tree: 'dim', share: 0.75, counts: noHistory },
    ]
    const half = { ...without('dead#reading'), part: 0.5 }
    const [whole] = worthOfMissing(knowledge, onlyDead, [without('dead#reading')])
    const [worth] = worthOfMissing(knowledge, mix, [half])
    expect(worth?.minutes).toBeCloseTo((whole?.minutes ?? 0) / 8, 9)
  })

  it('moves with what the depot has found', () => {
    const mostlyB = { ...noHistory, elsewhere: new Map([['set/b', 500]]) }
    const [usual] = worthOfMissing(knowledge, onlyDead, [without('dead#reading')])
    const [here] = worthOfMissing(
      knowledge,
      [{ tree: 'dead', share: 1, counts: mostlyB }],
      [without('dead#reading')],
    )
    // There the other cause is tried first, and is nearly always it.
    expect(here?.minutes).toBeLessThan((usual?.minutes ?? 0) / 2)
  })

  it('is none where no check hangs on it, and the dearest comes first', () => {
    const worth = worthOfMissing(knowledge, onlyDead, [without('dim#look'), without('dead#reading')])
    expect(worth.map(({ checks }) => [...checks])).toEqual([['dead#reading'], ['dim#look']])
    expect(worth[1]?.minutes).toBe(0)
  })
})

describe('the mix of a depot', () => {
  const fault = (id: string, tree: string): PastFault => ({
    ...{ id, tree, equipment: 'set', siteId: 's', positionId: 'p', cause: 'set/b' },
    ...{ reportedAt: '2026-01-01T00:00:00Z', units: [], conditions: {} },
  })

  it('is what it closed, on trees that there still are', () => {
    const past = [fault('1', 'dead'), fault('2', 'dead'), fault('3', 'dim'), fault('4', 'gone')]
    const mix = mixOf(knowledge, past)
    expect(mix.map(({ tree, share }) => [tree, share])).toEqual([
      ['dead', 2 / 3],
      ['dim', 1 / 3],
    ])
    expect(mix[0]?.counts.elsewhere).toEqual(new Map([['set/b', 2]]))
  })

  it('is every tree alike where it closed none', () => {
    expect(mixOf(knowledge, []).map(({ share }) => share)).toEqual([0.5, 0.5])
  })
})

describe('what is missing', () => {
  const shipped = shippedKnowledge()
  const checks = [...shipped.trees.values()].flatMap(tree => [...tree.checks.values()])
  const measures = checks.filter(({ does }) => does.kind === 'measure')

  it('is every blank limit, with the checks that would judge by it', () => {
    const blank = measures.filter(({ does }) => does.kind === 'measure' && does.expectation === null)
    const named = blankLimits(shipped)
    expect(blank.length).toBeGreaterThan(0)
    expect(new Set(named.flatMap(one => [...one.checks]))).toEqual(new Set(blank.map(keyOfCheck)))
    expect(named.find(({ name }) => name === 'drive current')?.equipment).toBe('loop-transmitter')
  })

  it('is what no instrument in use measures, one line for each purpose', () => {
    const none = instrumentsNotCarried(shipped, [])
    expect(new Set(none.flatMap(one => [...one.checks]))).toEqual(new Set(measures.map(keyOfCheck)))
    const voltmeter: Instrument = {
      ...{ id: 'v', kind: 'multimeter', serial: '1', calibrationDue: null },
      functions: [
        {
          ...{ unit: 'V AC', range: 600, method: 'direct' as const },
          accuracy: { percent: 1, counts: 3, resolution: 0.1 },
        },
      ],
    }
    const left = instrumentsNotCarried(shipped, [voltmeter]).map(({ name }) => name)
    expect(none.map(({ name }) => name)).toContain('V AC')
    expect(left).not.toContain('V AC')
    expect(left).toContain('V DC')
    expect(new Set(left).size).toBe(left.length)
  })

  it('is a fact that limits are worked out from, by the part of the positions without it', () => {
    const at = (facts: Record<string, string>) => ({ equipment: 'loop-transmitter', facts })
    const known = factsNotKnown(shipped, [at({ 'cable length': '120' }), at({}), at({ 'cable length': ' ' })])
    expect(known.find(({ name }) => name === 'cable length')?.part).toBeCloseTo(2 / 3, 12)
    expect(known.every(({ equipment }) => equipment === 'loop-transmitter')).toBe(true)
  })
})
