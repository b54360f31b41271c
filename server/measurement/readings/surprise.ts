// A reading that may be a slip of the finger: out by a thousand, or
// more than any working meter shows. Asked about, never blocked.

import type { Range } from '../limits/range.ts'
import { formatIn, formatQuantity } from './format.ts'
import type { Reading } from './reading.ts'

/** No working meter in this trade shows more, in base units; common practice, no published source. */
const BEYOND = new Map([
  ['V AC', 1e4],
  ['V DC', 1e4],
  ['A', 1e3],
  ['ohm', 1e12],
  ['Hz', 1e9],
  ['H', 1e3],
  ['m', 1e5],
  ['m/s', 200],
  ['°C', 200],
])
const NEVER_NEGATIVE = new Set(['ohm', 'Hz', 'H', 'm', 'm²', 'm/s', 's', 'ohm/m', 'V AC'])

/**
 * A question to confirm, or null when the reading is
 * plausible. `range` is the expected one, where there is one.
 */
export function surprise(reading: Reading, range: Range | null): string | null {
  const values = valuesOf(reading)
  for (const value of values) {
    const question = impossible(value, reading.unit) ?? (range ? thousandOff(value, range) : null)
    if (question) return question
  }
  return null
}

function valuesOf(reading: Reading): number[] {
  switch (reading.kind) {
    case 'value':
      return [reading.value]
    case 'unstable':
      return [reading.low, reading.high]
    case 'more than':
    case 'less than':
    case 'none':
    case 'open':
      return []
  }
}

function impossible(value: number, unit: string): string | null {
  const shown = formatQuantity(value, unit)
  if (value < 0 && NEVER_NEGATIVE.has(unit))
    return `${shown} is negative, which this quantity cannot be. Is it really what the meter shows?`
  if (unit === '°C' && value < -60)
    return `${shown} is colder than any place on the railway. Is it really what the meter shows?`
  const most = BEYOND.get(unit)
  if (most === undefined || Math.abs(value) <= most) return null
  return `${shown} is more than is ever met here. Is it really what the meter shows?`
}

function thousandOff(value: number, range: Range): string | null {
  if (value === 0 || inside(value, range, 1)) return farBelow(value, range)
  for (const times of [1000, 0.001]) {
    if (!inside(value * times, range, 2)) continue
    const unit = range.shown ?? range.unit
    const meant = formatQuantity(value * times, range.unit)
    const direction = times > 1 ? 'smaller' : 'larger'
    return `${formatQuantity(value, range.unit)} is about a thousand times ${direction} than ${range.text}. Is it ${meant}, or does the meter really show ${formatIn(value, range.unit, unit)}?`
  }
  return null
}

/** Within a one-sided limit, yet so small that a prefix may have slipped. */
function farBelow(value: number, range: Range): string | null {
  if (value === 0 || range.min !== null || range.max === null || range.max <= 0) return null
  if (Math.abs(value) >= range.max / 1e4) return null
  return `${formatQuantity(value, range.unit)} is far less than ${range.text}. Is it really what the meter shows?`
}

/** Inside a range stretched by `slack`; an open end counts as one power of ten. */
function inside(value: number, range: Range, slack: number): boolean {
  const open = slack === 1
  const high = range.max ?? (open ? Number.POSITIVE_INFINITY : (range.min ?? 0) * 10)
  const low = range.min ?? (open ? Number.NEGATIVE_INFINITY : (range.max ?? 0) / 10)
  return value >= (low > 0 ? low / slack : low) && value <= (high > 0 ? high * slack : high)
}
