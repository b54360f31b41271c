import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { dayMs } from '../../../server/history/positions/exposure.ts'
import {
  explainRepeatShare,
  type RepeatRule,
  repeatTimes,
} from '../../../server/history/positions/repeats.ts'

const month: RepeatRule = { name: 'month', days: 28, faults: 2 }
const thrice: RepeatRule = { name: 'three in a year', days: 365, faults: 3 }
const onDays = (...days: number[]) => days.map(day => day * dayMs)

describe('repeats of one symptom at one position', () => {
  it('lie within the window, its first day counted', () => {
    expect(repeatTimes(onDays(0, 28, 57), 0, [month])).toEqual({
      byRule: [1],
      repeats: 1,
      newestMs: 28 * dayMs,
    })
  })

  it('are told by several rules at once', () => {
    expect(repeatTimes(onDays(0, 100, 110), 0, [month, thrice])).toEqual({
      byRule: [1, 1],
      repeats: 1,
      newestMs: 110 * dayMs,
    })
  })

  it('count faults at one moment as one after the other', () => {
    const twice = { name: 'twice', days: 1, faults: 2 }
    expect(repeatTimes(onDays(0, 0, 5), 0, [twice])).toEqual({ byRule: [1], repeats: 1, newestMs: 0 })
    expect(repeatTimes([], 0, [twice])).toEqual({ byRule: [0], repeats: 0, newestMs: null })
  })

  // Common practice, no published source: held against looking at every pair.
  it('agree with looking at every pair', () => {
    const rule = fc.record({
      name: fc.constantFrom('a', 'b', 'c', 'd'),
      days: fc.integer({ min: 1, max: 90 }),
      faults: fc.integer({ min: 2, max: 4 }),
    })
    const rules = fc.uniqueArray(rule, { maxLength: 3, selector: one => one.name })
    const moments = fc.array(fc.integer({ min: 0, max: 400 }), { maxLength: 40 })
    fc.assert(
      fc.property(moments, rules, fc.integer({ min: 0, max: 400 }), (days, set, from) => {
        const times = onDays(...days.sort((a, b) => a - b))
        const first = times.filter(at => at < from * dayMs).length
        const isRepeat = (i: number, { days: window, faults }: RepeatRule) =>
          times.slice(0, i).filter(at => at >= (times[i] ?? 0) - window * dayMs).length >= faults - 1
        const counted = times.map((_, i) => i).filter(i => i >= first)
        const byAny = counted.filter(i => set.some(one => isRepeat(i, one)))
        expect(repeatTimes(times, first, set)).toEqual({
          byRule: set.map(one => counted.filter(i => isRepeat(i, one)).length),
          repeats: byAny.length,
          newestMs: times[byAny.at(-1) ?? -1] ?? null,
        })
      }),
      { seed: 4700 },
    )
  })
})

describe('the share of repeats', () => {
  it('names numerator, denominator and what was left out', () => {
    const excluded = [{ reason: 'duplicate', count: 1 }]
    const explained = explainRepeatShare({ rule: month, repeats: 1, reports: 2, excluded })
    expect(explained.value).toBe(0.5)
    expect(explained.words).toBe('50 % of 2 reports were repeats (month)')
    expect(explained.terms.at(-1)).toEqual({ name: 'left out', value: 1, words: 'duplicate' })
  })

  it('cannot be told of no reports', () => {
    expect(explainRepeatShare({ rule: month, repeats: 0, reports: 0, excluded: [] }).value).toBeNull()
  })
})
