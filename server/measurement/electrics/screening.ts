// Cable screens: what the readings at a screen with its ends lifted say. No published limit of general standing was
// found; the railway's own instruction gives the number. The example value is from a marine installation manual.

import { formatQuantity } from '../readings/format.ts'
import { Impossible } from '../readings/impossible.ts'

export const SCREEN_EXAMPLE = {
  /** Ohm, screen to earth with both ends lifted. */
  minimum: 10e6,
  source: 'example from a marine detection manual (secondary); your own instruction comes first',
}

export interface ScreenReadings {
  bothEndsLifted: boolean
  /** Screen to earth, ohm; Infinity is not a number a meter shows: give the top of its range. */
  toEarth: number
  /** End to end, ohm, against what its length should have; null when not measured. */
  through: { measured: number; expected: number } | null
}

/** What the screen readings say, sentence by sentence; `minimum` in ohm is the owner's. Throws Impossible below nothing. */
export function screenFaults(readings: ScreenReadings, minimum: number): string[] {
  if (!readings.bothEndsLifted)
    return ['Lift both ends of the screen first: with an end on, the reading says nothing.']
  if (!(readings.toEarth >= 0)) throw new Impossible('The reading to earth must be nothing or more.')
  const faults: string[] = []
  if (readings.toEarth < minimum)
    faults.push(
      `${formatQuantity(readings.toEarth, 'ohm')} to earth is below ${formatQuantity(minimum, 'ohm')}: the screen touches earth somewhere along the cable.`,
    )
  const { through } = readings
  if (through && through.measured > 1.2 * through.expected)
    faults.push(
      `${formatQuantity(through.measured, 'ohm')} end to end is more than a fifth above ${formatQuantity(through.expected, 'ohm')}: the screen is broken or badly joined.`,
    )
  return faults
}
