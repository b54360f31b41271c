// How likely the true value is below, in or above a range:
// what a doubtful reading tells the ranking of causes.

import { normalCdf } from '../../statistics/normal.ts'
import type { Range } from '../limits/range.ts'
import type { Reading } from '../readings/reading.ts'
import { type Place, sideOf } from './judgement.ts'

/** The three sum to 1. */
export interface Confidence {
  below: number
  in: number
  above: number
}

const STEPS = 32

/**
 * Chances for a reading with standard uncertainty `standard`
 * (null: none known); null where there is no number.
 */
export function confidenceIn(
  reading: Reading,
  range: Range,
  standard: number | null,
  placed: Place,
): Confidence | null {
  switch (reading.kind) {
    case 'value':
      return chances(reading.value, range, standard ?? 0)
    case 'unstable':
      return wandering(reading.low, reading.high, range, standard ?? 0)
    case 'more than':
    case 'less than':
      return placed.decided ? certain(placed.side) : shared(reading, range)
    case 'none':
    case 'open':
      return null
  }
}

/** Normal about the reading (JCGM 106); with no uncertainty, certainty on the side it lies. */
export function chances(value: number, range: Range, standard: number): Confidence {
  if (!(standard > 0)) return certain(sideOf(value, range))
  const below = range.min === null ? 0 : normalCdf((range.min - value) / standard)
  const above = range.max === null ? 0 : normalCdf((value - range.max) / standard)
  return { below, in: Math.max(0, 1 - below - above), above }
}

function certain(side: Place['side']): Confidence {
  return { below: side === 'below' ? 1 : 0, in: side === 'in range' ? 1 : 0, above: side === 'above' ? 1 : 0 }
}

/** Anywhere between the two values is as likely: the mean over the stretch. */
function wandering(low: number, high: number, range: Range, standard: number): Confidence {
  const sum = { below: 0, in: 0, above: 0 }
  for (let step = 0; step < STEPS; step++) {
    const part = chances(low + ((step + 0.5) / STEPS) * (high - low), range, standard)
    sum.below += part.below / STEPS
    sum.in += part.in / STEPS
    sum.above += part.above / STEPS
  }
  return sum
}

/** `>50` that cannot be decided: each side it may lie on counts the same. */
function shared(reading: Extract<Reading, { value: number }>, range: Range): Confidence {
  const more = reading.kind === 'more than'
  const below = range.min !== null && (more ? reading.value < range.min : true)
  const above = range.max !== null && (more ? true : reading.value > range.max)
  const parts = Number(below) + 1 + Number(above)
  return { below: Number(below) / parts, in: 1 / parts, above: Number(above) / parts }
}
