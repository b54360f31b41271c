// What a reading is held against: parsed when the knowledge is compiled, resolved at a position.

import type { Expression } from './formula.ts'

/** Bounds are inclusive. Expressions carry their own units. */
export type Expectation =
  | { kind: 'between'; low: Expression; high: Expression; unit: string }
  | { kind: 'tolerance'; middle: Expression; plus: Expression; minus: Expression; relative: boolean; unit: string }
  | { kind: 'at most'; high: Expression; unit: string }
  | { kind: 'at least'; low: Expression; unit: string }

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
}
