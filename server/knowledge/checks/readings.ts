// Every reading a measurement can give, cut into pieces that the check's rows either take or leave as a whole.

import { contains, type Expectation, type Range } from '../../measurement/expectation.ts'
import { formatQuantity } from '../../measurement/format.ts'
import { findUnit } from '../../measurement/units.ts'
import { constantBounds } from '../bounds.ts'
import type { Measures, Row } from '../types.ts'

export interface Piece {
  /** An example, as it would be said: "50 V AC", "nothing there". */
  example: string
  /** Only a limit left blank has these: they need no row, and yet may have one. */
  optional: boolean
  /** A single value between two stretches: two rows may meet there. */
  point: boolean
  takenBy: (row: Row) => boolean
}

/**
 * The pieces for a check's rows. Where all ranges are plain numbers, values are compared as numbers; else the
 * verdict's words are all there is to compare.
 */
export function readingPieces(does: Measures, rows: Row[]): Piece[] {
  const none = verdictPiece('none', 'nothing there')
  const open = verdictPiece('open', 'a reading over the meter’s range')
  const range = does.expectation && constantBounds(does.expectation)
  const bands = rows.flatMap(row => bandOf(row) ?? [])
  const usesRange = rows.some(row => ['in range', 'below', 'above'].includes(row.match.kind))
  const numeric = range !== null || (bands.length > 0 && !usesRange)
  return [...(numeric ? valuePieces(range, bands, usesRange) : sidePieces(does.expectation)), none, open]
}

function verdictPiece(kind: Row['match']['kind'], example: string, optional = false): Piece {
  return { example, optional, point: false, takenBy: row => row.match.kind === kind }
}

function sidePieces(expectation: Expectation | null): Piece[] {
  const blank = expectation === null
  const pieces = [verdictPiece('in range', 'a reading in range')]
  if (expectation?.kind !== 'at most') pieces.push(verdictPiece('below', 'a reading below the range', blank))
  if (expectation?.kind !== 'at least') pieces.push(verdictPiece('above', 'a reading above the range', blank))
  return pieces
}

function bandOf(row: Row): Range | null {
  return row.match.kind === 'band' ? constantBounds(row.match.expectation) : null
}

function valuePieces(range: Range | null, bands: Range[], usesRange: boolean): Piece[] {
  const ranges = usesRange && range ? [range, ...bands] : bands.length > 0 ? bands : range ? [range] : []
  const unit = ranges[0]?.unit ?? 'ratio'
  const floor = lowestOf(unit)
  const ends = ranges.flatMap(({ min, max }) => [min, max]).filter(end => end !== null)
  const cuts = [...new Set(ends)].filter(end => end >= floor).sort((a, b) => a - b)
  return stretches(cuts, floor).map(({ low, high }) => {
    const value = sample(low, high)
    return {
      example: formatQuantity(value, unit),
      optional: false,
      point: low === high,
      takenBy: (row: Row) => takesValue(row, range, value),
    }
  })
}

function takesValue(row: Row, range: Range | null, value: number): boolean {
  if (row.match.kind === 'band') {
    const band = bandOf(row)
    return band !== null && contains(band, value)
  }
  if (!range) return false
  const low = !contains({ min: range.min, max: null, strict: range.strict }, value)
  const high = !contains({ min: null, max: range.max, strict: range.strict }, value)
  if (row.match.kind === 'in range') return !low && !high
  return (row.match.kind === 'below' && low) || (row.match.kind === 'above' && high)
}

/** The stretches between the cuts, and each cut itself. */
function stretches(cuts: number[], floor: number): { low: number; high: number }[] {
  const [first] = cuts
  if (first === undefined) return [{ low: floor, high: Number.POSITIVE_INFINITY }]
  const all = first > floor ? [{ low: floor, high: first }] : []
  for (const [index, cut] of cuts.entries()) {
    all.push({ low: cut, high: cut }, { low: cut, high: cuts[index + 1] ?? Number.POSITIVE_INFINITY })
  }
  return all
}

function sample(low: number, high: number): number {
  if (low === high) return low
  if (Number.isFinite(low) && Number.isFinite(high)) return (low + high) / 2
  if (Number.isFinite(low)) return low === 0 ? 1 : low + Math.abs(low)
  return Number.isFinite(high) ? high - Math.max(1, Math.abs(high)) : 0
}

/** Quantities that can't be negative start at nought; volts DC and temperatures can. */
function lowestOf(unit: string): number {
  const base = findUnit(unit)?.base ?? unit
  return ['V DC', 'V', '°C', 'K'].includes(base) ? Number.NEGATIVE_INFINITY : 0
}
