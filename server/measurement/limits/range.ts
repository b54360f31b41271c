// What a reading is held against: as the author wrote it, and worked out at a position.

import type { Expression } from './formula.ts'

/**
 * Bounds are inclusive unless `strict`: "below 10 V AC" and "above 10 V AC" leave 10 V AC out.
 * Expressions carry their own units; `unit` is the author's ("Mohm"), or '' where only the facts can tell it.
 */
export type Expectation =
  | { kind: 'between'; low: Expression; high: Expression; unit: string }
  | {
      kind: 'tolerance'
      middle: Expression
      plus: Expression
      minus: Expression
      relative: boolean
      unit: string
    }
  | { kind: 'at most'; high: Expression; unit: string; strict?: boolean }
  | { kind: 'at least'; low: Expression; unit: string; strict?: boolean }

/** An expectation worked out for one position at one moment. Values in the base unit `unit`. */
export interface Range {
  min: number | null
  max: number | null
  unit: string
  /** As shown: "99 to 121 V AC". */
  text: string
  /** Where the limit comes from. */
  from: string
  demo: boolean
  /** The sum worked out, numbers in and result, where a formula was used. */
  working: string | null
  /** Nothing physical can read below this, in the same unit; null when not known. */
  floor: number | null
  /** The unit the author wrote, in which readings are shown beside it; the base unit when absent. */
  shown?: string
  /** The bound itself lies outside: "below 10 V AC". */
  strict?: boolean
  /** How little is as good as nothing; absent where the author gives no limit for it. */
  nothing?: Nothing
}

/** A reading of at most this, either way, is as good as nothing: 2 V on a circuit of 110 V. */
export interface Nothing {
  /** In the base unit. */
  most: number
  /** As shown: "at most 2 V AC". */
  text: string
  /** Where the limit comes from. */
  from: string
  demo: boolean
}

/** Does a value in the range's base unit lie in it? */
export function contains(range: Pick<Range, 'min' | 'max' | 'strict'>, value: number): boolean {
  if (range.strict)
    return (range.min === null || value > range.min) && (range.max === null || value < range.max)
  return (range.min === null || value >= range.min) && (range.max === null || value <= range.max)
}
