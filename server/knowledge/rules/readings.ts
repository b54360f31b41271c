// Every reading a measurement can give, cut into pieces that
// the check's rows either take or leave as a whole.

import { contains, type Expectation, type Range } from '../../measurement/limits/expectation.ts'
import { formatQuantity } from '../../measurement/readings/format.ts'
import { isResistance } from '../../measurement/readings/reading.ts'
import { findUnit } from '../../measurement/readings/units.ts'
import { constantBounds } from '../bounds.ts'
import type { Check, Measures, Row } from '../types.ts'

type Side = 'in range' | 'below' | 'above' | 'none' | 'open'

interface Piece {
  /** What the verdict says of it; null where no row asks for a verdict. */
  side: Side | null
  /** A value that stands for the piece, in `unit`; null where only the verdict is known. */
  value: number | null
  unit: string
  /** Needs no row, and yet may have one: where a limit is left blank, and OL where another row takes it. */
  optional: boolean
  /** A single value between two stretches: two rows may meet there. */
  point: boolean
}

/** A piece of what a measurement can give, with the rows that take it. */
export interface TakenPiece extends Piece {
  rows: Row[]
}

const NONE = sidePiece('none')
const OPEN = sidePiece('open')

/**
 * The pieces of a measuring check, each with its rows; none for an observation. Where bands stand in the
 * rows, values are compared as numbers; else the verdict's words are all there is to compare.
 */
export function takenPieces({ does, rows }: Check): TakenPiece[] {
  if (does.kind !== 'measure') return []
  const range = does.expectation && constantBounds(does.expectation)
  const bands = rows.flatMap(row => bandOf(row) ?? [])
  const usesRange = rows.some(row => ['in range', 'below', 'above'].includes(row.match.kind))
  const pieces =
    bands.length > 0 ? valuePieces(usesRange ? range : null, bands) : sidePieces(does.expectation, range)
  return [...pieces, NONE, over(does, rows)].map(piece => ({
    ...piece,
    rows: rows.filter(row => takes(row, piece)),
  }))
}

/** An example of a piece, as it would be said: "50 V AC", "nothing there". */
export function exampleOf({ side, value, unit }: Piece): string {
  if (value !== null) return formatQuantity(value, unit)
  if (side === 'none') return 'nothing there'
  if (side === 'open') return 'a reading over the meter’s range'
  return side === 'in range' ? 'a reading in range' : `a reading ${side} the range`
}

/** On volts, amperes and hertz OL is more than the meter shows, so that a row `above` takes it too (`matchRow`). */
function over({ unit }: Measures, rows: Row[]): Piece {
  const base = findUnit(unit)?.base
  const above = base !== undefined && !isResistance(base) && rows.some(row => row.match.kind === 'above')
  return { ...OPEN, optional: above }
}

function takes(row: Row, { side, value }: Piece): boolean {
  if (row.match.kind !== 'band') return row.match.kind === side
  const band = bandOf(row)
  return band !== null && value !== null && contains(band, value)
}

function bandOf(row: Row): Range | null {
  return row.match.kind === 'band' ? constantBounds(row.match.expectation) : null
}

function sidePiece(side: Side, value: number | null = null, unit = '', optional = false): Piece {
  return { side, value, unit, optional, point: false }
}

function sidePieces(expectation: Expectation | null, range: Range | null): Piece[] {
  if (range) return rangePieces(range)
  const blank = expectation === null
  const pieces = [sidePiece('in range')]
  if (expectation?.kind !== 'at most') pieces.push(sidePiece('below', null, '', blank))
  if (expectation?.kind !== 'at least') pieces.push(sidePiece('above', null, '', blank))
  return pieces
}

function rangePieces({ min, max, unit }: Range): Piece[] {
  const floor = lowestOf(unit)
  const pieces = [sidePiece('in range', sample(min ?? floor, max ?? Number.POSITIVE_INFINITY), unit)]
  if (min !== null && min > floor) pieces.push(sidePiece('below', sample(floor, min), unit))
  if (max !== null) pieces.push(sidePiece('above', sample(max, Number.POSITIVE_INFINITY), unit))
  return pieces
}

function valuePieces(range: Range | null, bands: Range[]): Piece[] {
  const ranges = range ? [range, ...bands] : bands
  const unit = ranges[0]?.unit ?? 'ratio'
  const floor = lowestOf(unit)
  const ends = ranges.flatMap(({ min, max }) => [min, max]).filter(end => end !== null)
  const cuts = [...new Set(ends)].filter(end => end >= floor).sort((a, b) => a - b)
  return stretches(cuts, floor).map(({ low, high }) => {
    const value = sample(low, high)
    return { side: range && sideOf(range, value), value, unit, optional: false, point: low === high }
  })
}

function sideOf(range: Range, value: number): Side {
  if (!contains({ min: range.min, max: null, strict: range.strict }, value)) return 'below'
  return contains(range, value) ? 'in range' : 'above'
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

const MAY_BE_NEGATIVE = new Set(['V DC', 'V', '°C', 'K'])

/** Quantities that can't be negative start at nought; volts DC and temperatures can. */
function lowestOf(unit: string): number {
  return MAY_BE_NEGATIVE.has(findUnit(unit)?.base ?? unit) ? Number.NEGATIVE_INFINITY : 0
}
