import { describe, expect, it } from 'vitest'
import type { Past } from '../../server/review/past.ts'
import { trendsIn } from '../../server/review/trends.ts'

const DAY = 86_400_000
const YEAR = 365

/** A past in which each kind has one position, in service for a year, with faults on these days. */
function pastOf(kinds: Record<string, number[]>): Past {
  const toMs = Date.UTC(2027, 0, 1)
  const fromMs = toMs - YEAR * DAY
  const positions = Object.keys(kinds).map(equipment => ({
    ...{ id: equipment, equipment, inServiceMs: fromMs, outOfServiceMs: null },
  }))
  const families = positions.map(position => ({
    ...{ position, first: 0, times: (kinds[position.equipment] ?? []).map(day => fromMs + day * DAY) },
  }))
  return { window: { fromMs, toMs }, asAtMs: toMs, positions, families, knownDays: YEAR } as unknown as Past
}

const verdicts = (past: Past) =>
  Object.fromEntries(trendsIn(past).kinds.map(({ kind, trend }) => [kind, trend.value]))

const EARLY = [5, 20, 40, 60, 85, 110, 150, 240]
const SPREAD = [20, 65, 110, 155, 200, 245, 290, 335]

describe('the trend of a kind', () => {
  it('is seen where its faults all come early, and it is the only kind', () => {
    expect(verdicts(pastOf({ a: EARLY }))).toEqual({ a: 'better' })
  })

  it('is judged among all kinds: of many one looks better by luck', () => {
    const many = Object.fromEntries('bcdefgh'.split('').map(kind => [kind, SPREAD]))
    const all = verdicts(pastOf({ a: EARLY, ...many }))
    expect(all.a).toBe('none seen')
    expect(Object.values(all).filter(value => value !== 'none seen')).toEqual([])
  })

  it('stands out among many where it is plain', () => {
    const many = Object.fromEntries('bcdefgh'.split('').map(kind => [kind, SPREAD]))
    const plain = [2, 4, 5, 8, 11, 15, 18, 22, 30]
    expect(verdicts(pastOf({ a: plain, ...many })).a).toBe('better')
  })
})
