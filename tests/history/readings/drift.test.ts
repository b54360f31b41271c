import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { fitCurve } from '../../../server/history/readings/curve.ts'
import { driftOf } from '../../../server/history/readings/drift.ts'
import { crossing, fitLine } from '../../../server/history/readings/line.ts'
import { mannKendall } from '../../../server/history/readings/mann-kendall.ts'
import { cutAtBreaks, type SeriesReading } from '../../../server/history/readings/series.ts'
import { explainStep, findUnrecordedWork, likeliestStep } from '../../../server/history/readings/steps.ts'
import { theilSen } from '../../../server/history/readings/theil-sen.ts'
import { seeded } from '../chance.ts'
import { findDrifts } from '../find-drifts.ts'

const day = 86_400_000

function readings(
  values: (number | null)[],
  everyDays = 30,
  limit: { min: number | null; max: number | null } = { min: null, max: 20 },
): SeriesReading[] {
  return values.map((value, i) => ({ atMs: i * everyDays * day, value, ...limit }))
}

function scattered(level: (i: number) => number, n: number, seed: number, spread = 0.1): number[] {
  const random = seeded(seed)
  return Array.from({ length: n }, (_, i) => level(i) + spread * random.normal())
}

describe('a series cut at breaks', () => {
  it('keeps every reading once, in order', () => {
    const moments = fc.array(fc.integer({ min: 0, max: 100 }), { maxLength: 20 })
    fc.assert(
      fc.property(moments, moments, (at, cuts) => {
        const given = at.map(t => ({ atMs: t, value: t, min: null, max: null }))
        const segments = cutAtBreaks(
          given,
          cuts.map(atMs => ({ atMs, words: 'unit changed' })),
        )
        expect(segments.flatMap(s => s.readings.map(r => r.value))).toEqual(at.toSorted((a, b) => a - b))
        for (const s of segments) {
          for (const r of s.readings) expect(r.atMs).toBeGreaterThanOrEqual(s.after?.atMs ?? -1)
        }
      }),
    )
  })
})

describe('drift towards a limit', () => {
  it('gives a date between honest limits', () => {
    const drift = driftOf(readings(scattered(i => 10 + 0.5 * i, 14, 1)), [])
    const truth = 20 * 30 * day
    expect(drift.crosses.value?.limit).toBe(20)
    expect(drift.crosses.value?.earliestMs).toBeLessThan(truth)
    expect(drift.crosses.value?.latestMs).toBeGreaterThan(truth)
    expect(drift.crosses.words).toMatch(
      /^Reaches 20 about 1971-\d\d-\d\d \(1971-\d\d-\d\d to 1971-\d\d-\d\d\)\.$/,
    )
  })

  it('holds the true date in nineteen of twenty intervals or more', () => {
    let [given, held] = [0, 0]
    for (let seed = 0; seed < 600; seed++) {
      const { value } = driftOf(readings(scattered(i => 10 + 0.5 * i, 14, 9000 + seed, 0.6)), []).crosses
      if (value === null) continue
      given++
      if (value.earliestMs <= 600 * day && 600 * day <= value.latestMs) held++
    }
    expect(given).toBeGreaterThan(400)
    expect(held / given).toBeGreaterThan(0.94)
  })

  it('begins afresh where a unit was changed', () => {
    const values = [...scattered(i => 10 + i, 8, 2), ...scattered(() => 10, 8, 3)]
    const drift = driftOf(readings(values), [{ atMs: 8 * 30 * day - 1, words: 'module changed' }])
    expect(drift.segments).toHaveLength(2)
    expect(drift.segments[1]?.after?.words).toBe('module changed')
    expect(drift.crosses.words).toBe('No drift seen.')
  })

  it.each([
    [
      'too few readings',
      readings([10, 11, 12]),
      'Cannot say: 3 readings since the last change, 6 are needed.',
    ],
    ['no trend', readings(scattered(() => 10, 20, 5)), 'No drift seen.'],
    [
      'no limit on that side',
      readings(scattered(i => 10 - i, 12, 6)),
      'There is a drift, but no limit on the side it moves to.',
    ],
    [
      'a bend',
      readings(scattered(i => 5 + 0.06 * i * i, 14, 7)),
      'Cannot say when: the drift is not a straight line.',
    ],
    [
      'an uncertain slope',
      readings([10, 10.1, 10.2, 10.3, 18, 10.5, 10.6, 10.7, 10.8, 10.9, 11, 11.1]),
      'Cannot say when: the slope is too uncertain for any interval.',
    ],
    [
      'a limit too far ahead',
      readings(scattered(i => 10 + 0.2 * i, 14, 8)),
      'further ahead than the 13 months watched. Not before',
    ],
  ])('cannot say with %s', (_, series, words) => {
    const drift = driftOf(series, [])
    expect(drift.crosses.value).toBeNull()
    expect(drift.crosses.words).toContain(words)
  })

  it('falls towards the lower limit too', () => {
    const drift = driftOf(
      readings(
        scattered(i => 10 - 0.4 * i, 14, 9),
        30,
        { min: 2, max: 20 },
      ),
      [],
    )
    expect(drift.crosses.value?.limit).toBe(2)
  })

  it('says when the limit was crossed already, and leaves gaps out', () => {
    const values: (number | null)[] = scattered(i => 15 + 0.6 * i, 14, 10)
    values[3] = null
    const drift = driftOf(readings(values), [])
    expect(drift.trend?.n).toBe(13)
    expect(drift.crosses.words).toMatch(/^Crossed 20 by about 1970/)
  })

  it('finds the one that drifts among many that only scatter', () => {
    const quiet = Array.from({ length: 200 }, (_, i) => ({
      id: `q${i}`,
      breaks: [],
      readings: readings(scattered(() => 10, 12, 100 + i, 0.5)),
    }))
    const drifting = { id: 'x', breaks: [], readings: readings(scattered(i => 10 + 0.4 * i, 12, 99)) }
    expect(findDrifts([...quiet, drifting]).map(f => f.series.id)).toEqual(['x'])
  })
})

describe('a step without recorded work', () => {
  const stepped = readings(scattered(i => (i < 9 ? 10 : 12), 18, 20))

  it('is found where it is, and said', () => {
    const step = likeliestStep(stepped)
    expect(step?.afterMs).toBe(9 * 30 * day)
    expect(step?.n).toEqual([9, 9])
    expect(step && explainStep(step, { adjusted: 0.03, looked: 40 }).words).toBe(
      'Stepped from 10 to 12 between 1970-08-29 and 1970-09-28 with no work recorded: ' +
        'less than 1 chance in 20 by luck, counting all 40 looked at.',
    )
  })

  it('is not flagged where work was recorded', () => {
    const series = { breaks: [{ atMs: 9 * 30 * day - 1, words: 'adjusted' }], readings: stepped }
    expect(findUnrecordedWork([series])).toEqual([])
    expect(findUnrecordedWork([{ ...series, breaks: [] }])).toHaveLength(1)
  })

  it('is not seen in a steady drift, nor in readings that never change', () => {
    expect(likeliestStep(readings(scattered(i => 10 + 0.3 * i, 18, 21)))).toBeNull()
    expect(likeliestStep(readings(Array(12).fill(10)))?.chance ?? 1).toBe(1)
  })

  it('of one count of the last digit is not sure', () => {
    const step = likeliestStep(readings([10, 10, 10, 10.1, 10.1, 10.1]))
    expect(step?.chance ?? 1).toBeGreaterThan(0.001)
  })

  it('is flagged on quiet readings no oftener than stated', () => {
    let flagged = 0
    for (let seed = 0; seed < 1000; seed++) {
      const step = likeliestStep(readings(scattered(() => 10, 12, 5000 + seed)))
      if (step !== null && step.chance <= 0.05) flagged++
    }
    expect(flagged).toBeLessThan(65)
  })
})

describe('laws', () => {
  const series = fc.array(fc.double({ min: -50, max: 50, noNaN: true }), { minLength: 5, maxLength: 30 })

  it('trend and slope change sign when the series is turned over, and slopes lie within their limits', () => {
    fc.assert(
      fc.property(series, values => {
        const x = values.map((_, i) => i)
        const over = values.map(v => -v)
        expect(mannKendall(over)?.chance).toBeCloseTo(mannKendall(values)?.chance ?? 0, 12)
        const slope = theilSen(x, values)
        expect(theilSen(x, over)?.slope).toBeCloseTo(-(slope?.slope ?? 0), 12)
        expect(slope?.low).toBeLessThanOrEqual(slope?.slope ?? 0)
        expect(slope?.high).toBeGreaterThanOrEqual(slope?.slope ?? 0)
      }),
    )
  })

  it('a line through exact points is that line, and reaches its own height where it is', () => {
    const number = fc.double({ min: -20, max: 20, noNaN: true })
    fc.assert(
      fc.property(
        number,
        number.filter(b => Math.abs(b) > 0.01),
        (a, b) => {
          const x = [1, 2, 4, 7, 11]
          const line = fitLine(
            x,
            x.map(v => a + b * v),
          )
          if (line === null) throw new Error('no line')
          expect(line.slope).toBeCloseTo(b, 9)
          expect(crossing(line, line.intercept + 30 * line.slope)?.at).toBeCloseTo(30, 5)
          const curve = fitCurve(
            x,
            x.map(v => a + b * v + 0.5 * v * v),
          )
          expect(curve?.b[2]).toBeCloseTo(0.5, 9)
        },
      ),
    )
  })

  it('a level line never reaches another level, and a vague one has no limits', () => {
    const level = fitLine([1, 2, 3, 4], [5, 5, 5, 5])
    expect(level && crossing(level, 9)).toBeNull()
    const vague = fitLine([1, 2, 3, 4, 5], [1, -1, 2, -2, 1.5])
    expect(vague && crossing(vague, 9)).toMatchObject({ low: null, high: null })
  })
})
