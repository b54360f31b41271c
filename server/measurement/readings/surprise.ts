// A reading that may be a slip of the finger: a shifted point, a doubled or missed key, a wrong prefix, or more than can
// be there. Asked about, never blocked, and without naming the range, which may still be hidden.

import { contains, type Range } from '../limits/range.ts'
import { formatDigits } from './format.ts'
import { formatReading, type Reading } from './reading.ts'
import { fromBase, getUnit, toBase, type Unit } from './units.ts'

/** What a reading is held against to tell a slip from a fault. */
export interface Surroundings {
  range: Range | null
  /** What the author says that a fault shows. */
  atFault: Range[]
  /** The unit the meter is set to, any known symbol. */
  meter: string
  /** As it was typed, where one number was. */
  text: string
}

export interface Surprise {
  /** The reading as it is understood, with its unit: "1105 V AC". */
  shown: string
  /** Why it is asked, in a sentence. */
  because: string
}

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
const NEVER_NEGATIVE = new Map([
  ['ohm', 'A resistance'],
  ['ohm AC', 'An impedance'],
  ['Hz', 'A frequency'],
  ['H', 'An inductance'],
  ['m', 'A length'],
  ['m²', 'An area'],
  ['m/s', 'A speed'],
  ['s', 'A time'],
  ['ohm/m', 'A resistance'],
  ['V AC', 'AC volts'],
])
/** What is fed with so much cannot show much more; of a resistance there is no most. */
const FED = new Set(['V AC', 'V DC', 'A', 'Hz'])
const MOST_TIMES_FED = 2
/** `05.3`: a key before the nought was missed. */
const LEADING_NOUGHT = /^[-−–+]?0\d/
/** Within a limit from above, and yet so small that a prefix may have slipped. */
const FAR_BELOW = 1e-4

/** What to ask about a reading, or null where it is plausible: in range, as a fault shows, or no slip away from that. */
export function surprise(reading: Reading, around: Surroundings): Surprise | null {
  const shown = formatReading(reading, readableIn(reading, around.meter))
  if (LEADING_NOUGHT.test(around.text)) return { shown, because: 'A meter shows no 0 before other digits.' }
  for (const [value, resolution] of valuesOf(reading)) {
    const because = impossible(value, reading.unit, around) ?? slip(value, resolution, reading.unit, around)
    if (because) return { shown, because }
  }
  return null
}

/** The meter's own unit, as it was most likely typed; undefined where the number would be odd in it. */
function readableIn(reading: Reading, meter: string): string | undefined {
  const unit = getUnit(meter)
  const sizes = valuesOf(reading).map(([value]) => Math.abs(fromBase(value, unit)))
  const odd = sizes.some(size => size !== 0 && (size < 0.001 || size >= 100_000))
  return odd || unit.base !== reading.unit ? undefined : unit.symbol
}

function valuesOf(reading: Reading): [value: number, resolution: number][] {
  switch (reading.kind) {
    case 'value':
      return [[reading.value, reading.resolution]]
    case 'unstable':
      return [
        [reading.low, reading.resolution],
        [reading.high, reading.resolution],
      ]
    case 'more than':
    case 'less than':
    case 'none':
    case 'open':
      return []
  }
}

function impossible(value: number, unit: string, { range, atFault }: Surroundings): string | null {
  const never = NEVER_NEGATIVE.get(unit)
  if (value < 0 && never) return `${never} cannot be negative.`
  if (unit === '°C' && value < -60) return 'That is colder than any place on the railway.'
  const beyond = BEYOND.get(unit) ?? Number.POSITIVE_INFINITY
  if (Math.abs(value) > beyond) return 'That is more than is ever met here.'
  const most = FED.has(unit) ? mostFed(range, atFault) : null
  return most !== null && Math.abs(value) > MOST_TIMES_FED * most ? 'That is more than can be there.' : null
}

/** The highest that is expected, in order or at a fault; null where only next to nothing is. */
function mostFed(range: Range | null, atFault: Range[]): number | null {
  const tops = [...atFault, ...(range && !contains(range, 0) ? [range] : [])].map(({ max }) => max)
  if (tops.length === 0 || tops.some(top => top === null)) return null
  return Math.max(...tops.map(top => Math.abs(top ?? 0)))
}

function slip(value: number, resolution: number, unit: string, around: Surroundings): string | null {
  const { range, atFault, meter } = around
  if (!range || range.unit !== unit || value === 0) return null
  if (contains(range, value)) return farBelow(value, range) ? 'That is far less than is met here.' : null
  if (atFault.some(stretch => contains(stretch, value))) return null
  const unitOfMeter = getUnit(meter)
  const meant = slipsOf(numeral(value, resolution, unitOfMeter), usualDigits(range, unitOfMeter))
  return meant.some(number => contains(range, toBase(number, unitOfMeter)))
    ? 'One key more or less, a shifted point or another prefix would give a likelier reading.'
    : null
}

function farBelow(value: number, { min, max }: Range): boolean {
  return min === null && max !== null && max > 0 && Math.abs(value) < max * FAR_BELOW
}

/** The digits of a number as the meter shows it: "-0.1105". */
function numeral(value: number, resolution: number, meter: Unit): string {
  const places = Math.max(0, Math.round(-Math.log10(fromBase(resolution, meter))))
  return fromBase(value, meter).toFixed(Math.min(12, places))
}

/** How many digits a meter shows of what is expected: three, or all before the point and one after it. */
function usualDigits({ min, max }: Range, meter: Unit): number {
  const bound = Math.abs(fromBase(max ?? min ?? 0, meter))
  return Math.max(3, formatDigits(Math.floor(bound), 15).length + 1)
}

/** What may have been meant by a number with one slip in it, in the same unit. */
export function slipsOf(typed: string, usual: number): number[] {
  const sign = typed.startsWith('-') ? -1 : 1
  const digits = typed.replace('-', '')
  const point = digits.includes('.') ? digits.indexOf('.') : digits.length
  const bare = digits.replace('.', '')
  const with_ = (all: string, at: number) => sign * Number(`${all.slice(0, at)}.${all.slice(at)}`)
  const value = Number(typed)
  const meant = [value * 10, value / 10, value * 1000, value / 1000]
  for (let at = 0; at < bare.length; at++) {
    // The point was left out.
    if (point === bare.length && at > 0) meant.push(with_(bare, at))
    // A key was hit twice.
    if (bare[at] === bare[at + 1])
      meant.push(with_(bare.slice(0, at) + bare.slice(at + 1), at < point ? point - 1 : point))
  }
  if (bare.replace(/^0+/, '').length < usual)
    meant.push(...missed(bare, point).map(([all, at]) => with_(all, at)))
  return meant
}

/** Each number with one more digit, before or after the point, as digits and the place of the point. */
function missed(bare: string, point: number): [string, number][] {
  return Array.from({ length: bare.length + 1 }, (_, at) => at).flatMap(at => {
    const points = at < point ? [point + 1] : at > point ? [point] : [point, point + 1]
    return points.flatMap(place =>
      Array.from({ length: 10 }, (_, digit): [string, number] => [
        `${bare.slice(0, at)}${digit}${bare.slice(at)}`,
        place,
      ]),
    )
  })
}
