import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { contains, type Range } from '../../../server/measurement/limits/expectation.ts'
import type { Reading } from '../../../server/measurement/readings/reading.ts'
import { confidence, judge, passesProof } from '../../../server/measurement/verdicts/verdict.ts'
import { meter, range, value } from '../make.ts'
import { tryLaws } from './laws.ts'

const number = fc.integer({ min: 0, max: 4000 }).map(counts => counts / 10)
const limit: fc.Arbitrary<Range> = fc
  .tuple(number, number, fc.constantFrom('both', 'low', 'high'), fc.boolean())
  .map(([a, b, ends, strict]) => {
    const [low, high] = a < b ? [a, b] : [b, a]
    const bounds = { min: ends === 'high' ? null : low, max: ends === 'low' ? null : high }
    return range(bounds.min, bounds.max, 'V AC', ends !== 'both' && strict ? { strict } : {})
  })
const instrument = fc
  .record({ percent: fc.double({ min: 0, max: 5, noNaN: true }), counts: fc.integer({ min: 0, max: 20 }) })
  .map(spec => meter('V AC', { ...spec, resolution: 0.1 }, 1000))
const reading: fc.Arbitrary<Reading> = fc.oneof(
  number.map(volts => value(volts, 'V AC')),
  number.map(volts => ({ kind: 'more than' as const, value: volts, unit: 'V AC' })),
  number.map(volts => ({ kind: 'less than' as const, value: volts, unit: 'V AC' })),
  fc.tuple(number, number).map(([a, b]) => ({
    kind: 'unstable' as const,
    low: Math.min(a, b),
    high: Math.max(a, b),
    resolution: 0.1,
    unit: 'V AC',
  })),
  fc.constantFrom({ kind: 'open' as const, unit: 'V AC' }, { kind: 'none' as const, unit: 'V AC' }),
)
const maybe = fc.option(instrument)

describe('every verdict', () => {
  it('keeps the laws, whatever the sign or form of the reading', () => {
    const { proved, close, broken } = tryLaws(20_000, 20_260_101)
    expect(broken.slice(0, 3)).toEqual([])
    expect(Math.min(proved, close)).toBeGreaterThan(1000)
  })

  it('lies on the side where the number is', () => {
    fc.assert(
      fc.property(number, limit, maybe, (volts, bounds, tool) => {
        const { side } = judge(value(volts, 'V AC'), bounds, tool)
        expect(side === 'in range').toBe(contains(bounds, volts))
        if (side === 'below') expect(volts).toBeLessThanOrEqual(bounds.min ?? Number.NEGATIVE_INFINITY)
        if (side === 'above') expect(volts).toBeGreaterThanOrEqual(bounds.max ?? Number.POSITIVE_INFINITY)
      }),
      { seed: 10, numRuns: 1000 },
    )
  })

  it('agrees with its probability', () => {
    // w = U at k = 2 leaves 2.28 % on each side (computed).
    fc.assert(
      fc.property(number, limit, instrument, (volts, bounds, tool) => {
        const { zone, probability } = judge(value(volts, 'V AC'), bounds, tool)
        const chance = probability ?? Number.NaN
        if (zone === 'in') expect(chance).toBeGreaterThanOrEqual(1 - 2 * 0.022751)
        if (zone === 'out') expect(chance).toBeLessThanOrEqual(0.022751)
        if (zone === 'out, close') expect(chance).toBeLessThanOrEqual(0.5)
        if (zone === 'in, close' && (bounds.min === null || bounds.max === null))
          expect(chance).toBeGreaterThanOrEqual(0.5 - 1e-12)
      }),
      { seed: 11, numRuns: 1000 },
    )
  })

  it('is monotone: a higher reading is never less above nor more below', () => {
    fc.assert(
      fc.property(number, number, limit, (a, b, bounds) => {
        // A plain count error, so that the uncertainty is the same for both.
        const tool = meter('V AC', { percent: 0, counts: 9, resolution: 0.1 }, 1000)
        const [low, high] = [Math.min(a, b), Math.max(a, b)].map(volts =>
          judge(value(volts, 'V AC'), bounds, tool),
        )
        if (!low || !high) throw new Error('no verdict')
        const rank = { below: 0, 'in range': 1, above: 2, none: 9, open: 9, unknown: 9 }
        expect(rank[low.side]).toBeLessThanOrEqual(rank[high.side])
        expect(confidence(low)?.above).toBeLessThanOrEqual((confidence(high)?.above ?? 0) + 1e-15)
        expect(confidence(low)?.below).toBeGreaterThanOrEqual((confidence(high)?.below ?? 0) - 1e-15)
      }),
      { seed: 12, numRuns: 1000 },
    )
  })

  it('shares out exactly one whole between below, in and above', () => {
    fc.assert(
      fc.property(reading, limit, maybe, (read, bounds, tool) => {
        const shares = confidence(judge(read, bounds, tool))
        if (!shares) {
          expect(['open', 'none']).toContain(read.kind)
          return
        }
        expect(shares.below + shares.in + shares.above).toBeCloseTo(1, 12)
        for (const share of Object.values(shares)) expect(share).toBeGreaterThanOrEqual(0)
      }),
      { seed: 13, numRuns: 1000 },
    )
  })

  it('never passes proof where the number is out of range or close to it', () => {
    fc.assert(
      fc.property(reading, limit, maybe, (read, bounds, tool) => {
        const verdict = judge(read, bounds, tool)
        if (!passesProof(verdict)) return
        expect(['in range', 'open']).toContain(verdict.side)
        if (read.kind === 'value') expect(contains(bounds, read.value)).toBe(true)
        if (read.kind === 'unstable')
          expect(contains(bounds, read.low) && contains(bounds, read.high)).toBe(true)
        if (verdict.probability !== null) expect(verdict.probability).toBeGreaterThan(0.95)
      }),
      { seed: 14, numRuns: 1000 },
    )
  })

  it('is in words without a number that is none, and survives JSON', () => {
    fc.assert(
      fc.property(reading, fc.option(limit), maybe, (read, bounds, tool) => {
        const verdict = judge(read, bounds, tool)
        expect(`${verdict.because} ${verdict.advice}`).not.toMatch(/NaN|undefined|Infinity|\d-\d/)
        expect(JSON.parse(JSON.stringify(verdict))).toEqual(verdict)
      }),
      { seed: 15, numRuns: 1000 },
    )
  })

  it('with a better meter is never closer to call', () => {
    fc.assert(
      fc.property(number, limit, fc.integer({ min: 0, max: 20 }), (volts, bounds, counts) => {
        const zone = (more: number) =>
          judge(
            value(volts, 'V AC'),
            bounds,
            meter('V AC', { percent: 0, counts: more, resolution: 0.1 }, 1000),
          ).zone
        if (zone(counts + 5) === 'in') expect(zone(counts)).toBe('in')
        if (zone(counts + 5) === 'out') expect(zone(counts)).toBe('out')
      }),
      { seed: 16, numRuns: 500 },
    )
  })
})
