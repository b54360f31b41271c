// Instruments: how far a reading may be off, whether calibration
// is in date, what an instrument must not be used for.

import type { Reading } from '../readings/reading.ts'
import { getUnit, toBase } from '../readings/units.ts'

export type Method = 'direct' | '2-wire' | '4-wire' | 'volt drop under load'

/** One function on one range. `range` and `accuracy.resolution` are in `unit`. */
export interface InstrumentFunction {
  /** Any known symbol: "V AC", "mohm". */
  unit: string
  /** Top of the range. */
  range: number
  /** ±(percent of the reading + counts of the resolution). */
  accuracy: { percent: number; counts: number; resolution: number }
  method: Method
  /** Volts the instrument itself puts on what it measures, where that matters. */
  testVoltage?: number | null
  /** Frequencies it reads, Hz, 0 for DC; absent or null where none are on record. */
  frequency?: { from: number; to: number } | null
}

export interface Instrument {
  id: string
  /** "multimeter", "insulation tester". */
  kind: string
  serial: string
  functions: InstrumentFunction[]
  /** ISO date, the last day it is in date; null when none is on record. */
  calibrationDue: string | null
}

export interface Accuracy {
  /** The true value lies within ± this, base unit. */
  halfWidth: number
  /**
   * Standard uncertainty, base unit: half-width ÷ √3
   * (rectangular, GUM 4.3.7), with rounding and spread added.
   */
  standard: number
  function: InstrumentFunction
}

/**
 * How far a reading may be off on the smallest range that holds it; null where
 * the instrument has no such function, or where there is no number. A reading
 * noted more coarsely than the meter shows is given that rounding too.
 */
export function accuracyFor(instrument: Instrument, reading: Reading): Accuracy | null {
  if (reading.kind === 'open' || reading.kind === 'none') return null
  const value = reading.kind === 'unstable' ? reading.high : reading.value
  const chosen = functionFor(instrument, reading.unit, value)
  if (!chosen) return null
  const unit = getUnit(chosen.unit)
  const count = toBase(chosen.accuracy.resolution, unit)
  const halfWidth = (chosen.accuracy.percent / 100) * Math.abs(value) + chosen.accuracy.counts * count
  const noted = 'resolution' in reading ? reading.resolution : count
  const rounding = noted > count * 1.000001 ? noted / Math.sqrt(12) : 0
  const spread = reading.kind === 'value' ? (reading.spread ?? 0) : 0
  return { halfWidth, standard: Math.hypot(halfWidth / Math.sqrt(3), rounding, spread), function: chosen }
}

/** The function with the smallest range that holds `value` (base unit `base`), or null. */
export function functionFor(instrument: Instrument, base: string, value: number): InstrumentFunction | null {
  let best: { entry: InstrumentFunction; top: number } | null = null
  for (const entry of instrument.functions) {
    const unit = getUnit(entry.unit)
    const top = toBase(entry.range, unit)
    if (unit.base !== base || top < Math.abs(value)) continue
    if (!best || top < best.top) best = { entry, top }
  }
  return best?.entry ?? null
}

/** The highest value the instrument can show of a quantity, base unit; null where it has no such function. */
export function topOf(instrument: Instrument, base: string): number | null {
  const tops = instrument.functions
    .filter(entry => getUnit(entry.unit).base === base)
    .map(entry => toBase(entry.range, getUnit(entry.unit)))
  return tops.length > 0 ? Math.max(...tops) : null
}

/** Is it in date at `at` (ISO date or time)? With no date on record it is not. */
export function calibration(instrument: Instrument, at: string): 'in date' | 'out of date' {
  const due = instrument.calibrationDue
  return due !== null && at.slice(0, 10) <= due.slice(0, 10) ? 'in date' : 'out of date'
}

/** What is wrong with an instrument's register entry, in words; empty when it is sound. */
export function instrumentProblems(instrument: Instrument): string[] {
  return instrument.functions.flatMap((entry, index) => {
    const name = `Function ${index + 1} (${entry.unit})`
    const { percent, counts, resolution } = entry.accuracy
    const problems: string[] = []
    if (!(entry.range > 0)) problems.push(`${name}: the range must be more than zero.`)
    if (!(percent >= 0) || !(counts >= 0)) problems.push(`${name}: percent and counts must be zero or more.`)
    if (!(resolution > 0)) problems.push(`${name}: the resolution must be more than zero.`)
    if (resolution > entry.range) problems.push(`${name}: the resolution is coarser than the whole range.`)
    return problems
  })
}

type ValueReading = Extract<Reading, { kind: 'value' }>

/**
 * A resistance less that of the leads, both read with this instrument. Null where it has no such function.
 */
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
