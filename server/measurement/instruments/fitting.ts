// Which instruments of the register fit a check, what they are chosen for, and which would tell better.

import type { Range } from '../limits/range.ts'
import type { Reading } from '../readings/reading.ts'
import { getUnit } from '../readings/units.ts'
import { accuracyFor, functionFor, type Instrument } from './instrument.ts'
import { type InstrumentNeeds, unsuitable } from './suitability.ts'

/**
 * What an instrument is chosen for, so that a choice lasts for all checks of its kind: "V AC", "milliohms",
 * "insulation", "A at 65000 Hz".
 */
export function purposeOf({
  unit,
  method,
  testVoltage,
  mostTestVoltage,
  frequency,
}: InstrumentNeeds): string {
  const { base } = getUnit(unit)
  if (testVoltage !== null) return `insulation at ${testVoltage} V`
  if (
    base === 'ohm' &&
    (method === '4-wire' || method === 'volt drop under load' || mostTestVoltage !== null)
  )
    return 'milliohms'
  return frequency === null ? base : `${base} at ${frequency} Hz`
}

/** Those that nothing speaks against and that have a range for the limit. */
export function fitting<I extends Instrument>(
  instruments: I[],
  needs: InstrumentNeeds,
  range: Range | null,
): I[] {
  const { base } = getUnit(needs.unit)
  const size = Math.max(Math.abs(range?.min ?? 0), Math.abs(range?.max ?? 0))
  return instruments.filter(
    one =>
      functionFor(one, base, size) !== null &&
      unsuitable(one, needs).every(reason => reason.severity !== 'refuse'),
  )
}

/** An instrument that tells better, with the standard uncertainty it would have at the reading, base unit. */
export interface Better<I extends Instrument> {
  instrument: I
  standard: number
}

/**
 * Instruments with a smaller uncertainty at this reading than `standard` (base unit; null: no meter was named), the
 * best first.
 */
export function betterThan<I extends Instrument>(
  instruments: I[],
  reading: Reading,
  standard: number | null,
): Better<I>[] {
  return instruments
    .flatMap(instrument => {
      // As the instrument shows it, not as coarsely as it was noted before.
      const accuracy = accuracyFor(
        instrument,
        'resolution' in reading ? { ...reading, resolution: 0 } : reading,
      )
      return accuracy ? [{ instrument, standard: accuracy.standard }] : []
    })
    .filter(one => standard === null || one.standard < standard * 0.999)
    .sort((a, b) => a.standard - b.standard)
}
