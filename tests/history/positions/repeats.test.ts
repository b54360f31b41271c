import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  countRepeats,
  explainRepeatShare,
  type FaultMoment,
  findRepeats,
  type RepeatRule,
} from '../../../server/history/positions/repeats.ts'

const day = 86_400_000
const month: RepeatRule = { name: 'month', days: 28, faults: 2 }
const thrice: RepeatRule = { name: 'three in a year', days: 365, faults: 3 }

function fault(id: string, onDay: number, more: Partial<FaultMoment> = {}): FaultMoment {
  return { id, positionId: 'P1', family: 'dead', atMs: onDay * day, excluded: null, ...more }
}

describe('repeat faults', () => {
  it('need the same position, the same family and the window', () => {
    const faults = [
      fault('a', 0),
      fault('b', 10, { family: 'weak' }),
      fault('c', 11, { positionId: 'P2' }),
      fault('d', 28),
      fault('e', 57),
    ]
    expect([...findRepeats(faults, [month])].map(r => [r.fault.id, r.earlier])).toEqual([['d', ['a']]])
  })

  it('are told by several rules at once', () => {
    const faults = [fault('a', 0), fault('b', 100), fault('c', 110)]
    const found = [...findRepeats(faults, [month, thrice])]
    expect(found).toEqual([{ fault: faults[2], rules: ['month', 'three in a year'], earlier: ['a', 'b'] }])
  })

  it('leave the excluded out of numerator and denominator, and say so', () => {
    const faults = [fault('a', 0), fault('b', 1, { excluded: 'duplicate' }), fault('c', 5)]
    const [share] = countRepeats(faults, [month])
    expect(share).toEqual({
      rule: month,
      repeats: 1,
      reports: 2,
      excluded: [{ reason: 'duplicate', count: 1 }],
    })
    const explained = share && explainRepeatShare(share)
    expect(explained?.value).toBe(0.5)
    expect(explained?.words).toBe('50 % of 2 reports were repeats (month)')
    expect(explained?.terms.at(-1)).toEqual({ name: 'left out', value: 1, words: 'duplicate' })
  })

  it('cannot share out nothing', () => {
    const [share] = countRepeats([], [month])
    expect(share && explainRepeatShare(share).value).toBeNull()
  })

  it('must come in order of time', () => {
    expect(() => [...findRepeats([fault('a', 2), fault('b', 1)], [month])]).toThrow('order of time')
  })

  it('agree with looking at every pair', () => {
    const gaps = fc.array(fc.record({ gap: fc.nat(40), positionId: fc.constantFrom('P1', 'P2') }), {
      maxLength: 40,
    })
    fc.assert(
      fc.property(gaps, rows => {
        const days = rows.map((_, i) => rows.slice(0, i + 1).reduce((at, row) => at + row.gap, 0))
        const faults = rows.map(({ positionId }, i) => fault(`f${i}`, days[i] ?? 0, { positionId }))
        const slow = faults.filter((f, i) =>
          faults.slice(0, i).some(e => e.positionId === f.positionId && f.atMs - e.atMs <= 28 * day),
        )
        expect([...findRepeats(faults, [month])].map(r => r.fault)).toEqual(slow)
      }),
      { seed: 4700 },
    )
  })
})
