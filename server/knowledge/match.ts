import type { Expectation, Range } from '../measurement/limits/expectation.ts'
import type { Reading } from '../measurement/readings/reading.ts'
import type { Verdict } from '../measurement/verdicts/verdict.ts'
import { constantBounds } from './bounds.ts'
import type { Check, Row } from './types.ts'

/** What was found at a check. `word` and `observation` are the same thing under two names. */
export type Found =
  | { kind: 'reading'; reading: Reading; range: Range | null; verdict: Verdict }
  | { kind: 'word' | 'observation'; word: string }
  | { kind: 'cannot tell' }

/**
 * The row a finding takes, or null when none decides by itself: the technician then chooses.
 * - `cannot tell` takes only a row of its own.
 * - A word takes the row with that word, else `otherwise`.
 * - A reading takes the row of its verdict, else the band it lies in, else `otherwise`. Without a verdict (a
 *   blank limit) only a band, or an `otherwise` that stands beside no verdict rows, decides.
 * - OL takes `open`; where there is none, it is on volts, amperes and hertz above what the meter shows.
 * - Where two bands meet, the value belongs to the upper one. A reading that spans two bands decides nothing.
 */
export function matchRow(check: Check, found: Found): Row | null {
  switch (found.kind) {
    case 'cannot tell':
      return rowOfKind(check, 'cannot tell')
    case 'word':
    case 'observation':
      return rowOfWord(check, found.word)
    case 'reading':
      return rowOfReading(check, found.reading, found.verdict)
  }
}

function rowOfKind(check: Check, kind: string): Row | null {
  return check.rows.find(row => row.match.kind === kind) ?? null
}

function rowOfWord(check: Check, word: string): Row | null {
  const wanted = plain(word)
  if (wanted === 'cannot tell') return rowOfKind(check, 'cannot tell')
  const same = check.rows.find(row => row.match.kind === 'word' && plain(row.match.word) === wanted)
  return same ?? rowOfKind(check, 'otherwise')
}

function plain(word: string): string {
  return word.trim().replace(/\s+/g, ' ').toLowerCase()
}

function rowOfReading(check: Check, reading: Reading, verdict: Verdict): Row | null {
  const side = sideOf(reading, verdict)
  const over = reading.kind === 'open' ? rowOfKind(check, 'open') : null
  if (over) return over
  const exact = side === 'unknown' ? null : rowOfKind(check, side)
  if (exact) return exact
  const span = spanOf(reading)
  const touched = span ? bandsTouching(check, span) : []
  if (span && touched.length > 0) return touched.find(band => holds(band, span))?.row ?? null
  const judged = check.rows.some(row => ['in range', 'below', 'above'].includes(row.match.kind))
  return side === 'unknown' && judged ? null : rowOfKind(check, 'otherwise')
}

/** Nothing there, and over the meter's range, are plain to see even where no limit is given. */
function sideOf(reading: Reading, verdict: Verdict): Verdict['side'] {
  if (verdict.side !== 'unknown') return verdict.side
  return reading.kind === 'none' || reading.kind === 'open' ? reading.kind : 'unknown'
}

interface Span {
  low: number
  high: number
}

/** Everything the reading may stand for, or null when it has no value. */
function spanOf(reading: Reading): Span | null {
  switch (reading.kind) {
    case 'value':
      return { low: reading.value, high: reading.value }
    case 'unstable':
      return { low: reading.low, high: reading.high }
    case 'more than':
      return { low: reading.value, high: Number.POSITIVE_INFINITY }
    case 'less than':
      return { low: Math.min(0, reading.value), high: reading.value }
    case 'none':
    case 'open':
      return null
  }
}

type Band = Span & { row: Row }

/** Bands that share a value with the span, the highest first. */
function bandsTouching(check: Check, span: Span): Band[] {
  const bands: Band[] = []
  for (const row of check.rows) {
    const bounds = row.match.kind === 'band' ? bandBounds(row.match.expectation) : null
    if (bounds && bounds.low <= span.high && bounds.high >= span.low) bands.push({ ...bounds, row })
  }
  return bands.sort((a, b) => b.low - a.low)
}

function bandBounds(expectation: Expectation): Span | null {
  const bounds = constantBounds(expectation)
  if (!bounds) return null
  return { low: bounds.min ?? Number.NEGATIVE_INFINITY, high: bounds.max ?? Number.POSITIVE_INFINITY }
}

function holds(band: Span, span: Span): boolean {
  return band.low <= span.low && band.high >= span.high
}
