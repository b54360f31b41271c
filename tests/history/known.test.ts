import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  gapsWithin,
  joinSpans,
  knownMs,
  knownSources,
  type RecordSource,
  spansWithin,
} from '../../server/history/known.ts'
import { dayMs } from '../../server/history/positions/exposure.ts'

const here: RecordSource = {
  kind: 'faults',
  source: 'here',
  name: 'Recorded here',
  firstMs: 0,
  lastMs: 700 * dayMs,
  entries: 300,
  days: 250,
  stated: null,
}
const until = (source: RecordSource, asAtMs: number) => knownSources([source], asAtMs)[0]?.span.toMs

describe('what is known of a source', () => {
  it('reaches up to now while entries come at their usual pace, and else up to the last', () => {
    // 249 days with entries after the first, in 700: with s days of silence the chance of none is (700/(700+s))^249,
    // 0.0010 at s = 19.7, by hand.
    expect(until(here, 719 * dayMs)).toBe(719 * dayMs)
    expect(until(here, 721 * dayMs)).toBe(700 * dayMs + 1000)
    expect(until(here, 1100 * dayMs)).toBe(700 * dayMs + 1000)
  })

  it('is not ended by the silence of a young record', () => {
    expect(until({ ...here, lastMs: 0, days: 1, entries: 1 }, 900 * dayMs)).toBe(900 * dayMs)
    expect(until({ ...here, lastMs: 30 * dayMs, days: 2, entries: 2 }, 900 * dayMs)).toBe(900 * dayMs)
  })

  it('is of a file its first day to its last, and never later than now', () => {
    const file = { ...here, source: 'import', firstMs: 3.4 * dayMs, lastMs: 90.2 * dayMs }
    expect(knownSources([file], 400 * dayMs)[0]?.span).toEqual({ fromMs: 3 * dayMs, toMs: 91 * dayMs })
    expect(until(file, 90.5 * dayMs)).toBe(90.5 * dayMs)
  })

  it('is what an engineer says, whatever the entries show', () => {
    const said = (toMs: number | null) => ({
      ...here,
      stated: { fromMs: 5 * dayMs, toMs, by: 'I', words: 'w' },
    })
    expect(knownSources([said(null)], 1100 * dayMs)[0]?.span).toEqual({
      fromMs: 5 * dayMs,
      toMs: 1100 * dayMs,
    })
    expect(until(said(600 * dayMs), 1100 * dayMs)).toBe(600 * dayMs)
    // Said of a time that is still to come, nothing is known yet.
    expect(knownSources([said(null)], 4 * dayMs)).toEqual([])
  })
})

const spans = fc.array(
  fc.tuple(fc.integer({ min: 0, max: 99 }), fc.integer({ min: 0, max: 30 })).map(([fromMs, length]) => ({
    fromMs,
    toMs: fromMs + length,
  })),
  { maxLength: 6 },
)
const window = fc
  .tuple(fc.integer({ min: -5, max: 110 }), fc.integer({ min: 0, max: 80 }))
  .map(([fromMs, length]) => ({ fromMs, toMs: fromMs + length }))

it('known time and the gaps make up the window, each moment in one of them', () => {
  fc.assert(
    fc.property(spans, window, (all, within) => {
      const joined = joinSpans(all)
      const gaps = gapsWithin(joined, within)
      const gapMs = gaps.reduce((sum, gap) => sum + gap.toMs - gap.fromMs, 0)
      expect(knownMs(joined, within) + gapMs).toBe(within.toMs - within.fromMs)
      for (let at = within.fromMs; at < within.toMs; at++) {
        const inAny = all.some(span => at >= span.fromMs && at < span.toMs)
        expect(spansWithin(joined, within).some(span => at >= span.fromMs && at < span.toMs)).toBe(inAny)
        expect(gaps.some(gap => at >= gap.fromMs && at < gap.toMs)).toBe(!inAny)
      }
    }),
  )
})
