// Readings that are worked out of others: leads subtracted, volts over amperes, the mean of several.

import { studentQuantile } from '../../statistics/student.ts'
import { formatDigits, formatIn, formatNumber, formatQuantity } from './format.ts'
import { Impossible } from './impossible.ts'
import { formatReading, type Reading, toShown } from './reading.ts'

type ValueReading = Extract<Reading, { kind: 'value' }>

export interface Corrected {
  reading: ValueReading
  /** The sum, numbers in and result. */
  working: string
}

/** Leads of more than this are worn out (secondary: instrument makers' advice). */
const WORN_LEADS = 1

/**
 * A two-wire resistance less that of the leads, both in ohm. Throws Impossible where the leads have more than
 * the reading by over two counts: then one of the two is wrong. Within that, the answer is nothing.
 */
export function withoutLeads(measured: ValueReading, leads: number): Corrected {
  if (measured.unit !== 'ohm') throw new Impossible('Leads are subtracted from a resistance only.')
  if (!(leads >= 0)) throw new Impossible('The lead resistance must be zero or more.')
  const left = toShown(measured.value - leads, measured.resolution)
  if (left < -2 * measured.resolution)
    throw new Impossible(
      `The leads, ${formatQuantity(leads, 'ohm')}, have more than the reading, ${formatReading(measured)}: measure both again.`,
    )
  const reading: ValueReading = { ...measured, value: Math.max(0, left) }
  return {
    reading,
    working: `${formatReading(measured, 'ohm')} − ${formatIn(leads, 'ohm', 'ohm', measured.resolution)} of leads = ${formatReading(reading, 'ohm')}`,
  }
}

/** A word about the leads themselves, or null when they are sound. */
export function leadAdvice(leads: number): string | null {
  return leads > WORN_LEADS
    ? `Leads of ${formatQuantity(leads, 'ohm')} are worn or badly plugged in: change them before you measure.`
    : null
}

/**
 * Resistance from the volt drop across it and the current through it. The resolution of the answer follows
 * from those of the two; volts AC give ohms AC. Throws Impossible unless a current flows.
 */
export function fromVoltDrop(drop: ValueReading, current: ValueReading): Corrected {
  if (!drop.unit.startsWith('V') || current.unit !== 'A')
    throw new Impossible('A volt drop in volts and a current in amperes are needed.')
  if (current.value === 0)
    throw new Impossible('No current flows, so the volt drop says nothing: put the load on.')
  const quotient = drop.value / current.value
  const unit = drop.unit === 'V AC' ? 'ohm AC' : 'ohm'
  const share =
    Math.abs(drop.resolution / (drop.value || drop.resolution)) + Math.abs(current.resolution / current.value)
  const size = Math.abs(quotient) || Math.abs(drop.resolution / current.value)
  const resolution = roundStep(size * share)
  const reading: ValueReading = { kind: 'value', value: toShown(quotient, resolution), resolution, unit }
  return {
    reading,
    working: `${formatReading(drop)} ÷ ${formatReading(current)} = ${formatReading(reading)}`,
  }
}

export interface Averaged extends Corrected {
  low: number
  high: number
  /** Standard deviation of the readings, base unit. */
  deviation: number
  /** The mean lies within ± this in 95 of 100 such series: t × deviation ÷ √n (GUM 4.2.3). */
  within: number
}

/**
 * The mean of two or more readings of the same quantity, with their spread. Its own uncertainty goes into the
 * verdict: half of `within`, so that k = 2 covers what t asks for. Throws Impossible for fewer than two.
 */
export function average(readings: ValueReading[]): Averaged {
  const [first] = readings
  if (!first || readings.length < 2) throw new Impossible('Two readings or more are needed for a mean.')
  if (readings.some(reading => reading.unit !== first.unit))
    throw new Impossible('Only readings of the same quantity have a mean.')
  const values = readings.map(reading => reading.value)
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0)
  const deviation = Math.sqrt(squares / (values.length - 1))
  const within = (studentQuantile(0.975, values.length - 1) * deviation) / Math.sqrt(values.length)
  const finest = Math.min(...readings.map(reading => reading.resolution))
  const reading: ValueReading = {
    ...first,
    value: toShown(mean, finest),
    resolution: finest,
    spread: within / 2,
  }
  const [low, high] = [Math.min(...values), Math.max(...values)]
  return {
    reading,
    low,
    high,
    deviation,
    within,
    working: `(${values.map(value => formatNumber(value, finest)).join(' + ')}) ÷ ${values.length} = ${formatReading(reading, first.unit)}, spread ${formatDigits(high - low, 3)}`,
  }
}

/** The power of ten at or below: 0.0037 → 0.001. */
function roundStep(step: number): number {
  return step > 0 ? Number(`1e${Math.floor(Math.log10(step))}`) : 1
}
