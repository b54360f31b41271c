import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { dayMs } from '../../../server/history/positions/exposure.ts'
import { repeatTimes } from '../../../server/history/positions/repeat-times.ts'
import { findRepeats } from '../../../server/history/positions/repeats.ts'

// Common practice, no published source: held against the row-by-row form of the same rule.

const rule = fc.record({
  name: fc.constantFrom('a', 'b', 'c', 'd'),
  days: fc.integer({ min: 1, max: 90 }),
  faults: fc.integer({ min: 2, max: 4 }),
})
const rules = fc.uniqueArray(rule, { maxLength: 3, selector: one => one.name })
const moments = fc.array(fc.integer({ min: 0, max: 400 }), { maxLength: 40 })

describe('repeats from moments alone', () => {
  it('are the repeats that are found row by row', () => {
    fc.assert(
      fc.property(moments, rules, fc.integer({ min: 0, max: 400 }), (days, set, from) => {
        const times = days.sort((a, b) => a - b).map(day => day * dayMs)
        const first = times.filter(at => at < from * dayMs).length
        const faults = times.map((atMs, i) => ({
          ...{ id: String(i), positionId: 'p', family: 'f', atMs, excluded: null },
        }))
        const rows = [...findRepeats(faults, set)].filter(({ fault }) => Number(fault.id) >= first)
        const found = repeatTimes(times, first, set)
        expect(found.byRule).toEqual(set.map(one => rows.filter(row => row.rules.includes(one.name)).length))
        expect(found.repeats).toBe(rows.length)
        expect(found.newestMs).toBe(rows.at(-1)?.fault.atMs ?? null)
      }),
      { seed: 4700 },
    )
  })

  it('count faults at one moment as one after the other', () => {
    const twice = { name: 'twice', days: 1, faults: 2 }
    expect(repeatTimes([0, 0, 5 * dayMs], 0, [twice])).toEqual({ byRule: [1], repeats: 1, newestMs: 0 })
    expect(repeatTimes([], 0, [twice])).toEqual({ byRule: [0], repeats: 0, newestMs: null })
  })
})
