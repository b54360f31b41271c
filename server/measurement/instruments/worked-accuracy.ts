// How far a reading may be off that was worked out of others: the parts' uncertainties added as independent errors are,
// by the root of the sum of squares (GUM 5.1.2, value from memory).

import type { Reading } from '../readings/reading.ts'
import { type Accuracy, accuracyFor, type Instrument } from './instrument.ts'

type ValueReading = Extract<Reading, { kind: 'value' }>

/** A resistance less that of the leads, both read with this instrument. Null where it has no such function. */
export function differenceAccuracy(
  instrument: Instrument,
  measured: ValueReading,
  leads: ValueReading,
): Accuracy | null {
  const whole = accuracyFor(instrument, measured)
  const part = accuracyFor(instrument, leads)
  if (!whole || !part) return null
  return {
    halfWidth: whole.halfWidth + part.halfWidth,
    standard: Math.hypot(whole.standard, part.standard),
    function: whole.function,
  }
}

/** Volts over amperes, ohm; null where the instrument does not read both, or nothing flows. */
export function quotientAccuracy(
  instrument: Instrument,
  drop: ValueReading,
  current: ValueReading,
): Accuracy | null {
  const volts = accuracyFor(instrument, drop)
  const amperes = accuracyFor(instrument, current)
  if (!volts || !amperes || current.value === 0) return null
  const ohms = Math.abs(drop.value / current.value)
  const share = (of: number) => of / Math.abs(current.value)
  return {
    halfWidth: share(volts.halfWidth) + share(amperes.halfWidth) * ohms,
    standard: Math.hypot(share(volts.standard), share(amperes.standard) * ohms),
    function: volts.function,
  }
}
