// May this instrument be used for this check? What the check needs, against what the instrument does.

import type { Range } from '../limits/range.ts'
import { formatQuantity } from '../readings/format.ts'
import { getUnit } from '../readings/units.ts'
import { type Instrument, type InstrumentFunction, type Method, topOf } from './instrument.ts'

/** What the author of a check states of the instrument. */
export interface StatedNeeds {
  method: Method | null
  /** The tester must put this many volts on; null where it does not matter. */
  testVoltage: number | null
  /** The tester must not put more volts on than this; null where it does not matter. */
  mostTestVoltage: number | null
  electronicsConnected: boolean
  /** Of what is measured, Hz, 0 for DC; null where it does not matter. */
  frequency: number | null
}

export const nothingStated: Readonly<StatedNeeds> = {
  method: null,
  testVoltage: null,
  mostTestVoltage: null,
  electronicsConnected: false,
  frequency: null,
}

export interface InstrumentNeeds extends StatedNeeds {
  /** Unit of the quantity, any known symbol. */
  unit: string
}

export interface Unsuitable {
  severity: 'refuse' | 'caution'
  because: string
}

/**
 * A contact below this is lost in the resistance of two leads
 * (0.2 to 0.5 Ω; secondary: instrument makers' advice).
 */
const LOST_IN_LEADS = 0.1
/** Beyond this an ohmmeter can break down the film on a contact: IEC 60512-2-1 test 2a. */
const FILM_VOLTAGE = 0.02

/**
 * What an instrument must do to measure in `unit` against `range`. A limit of at most 100 mΩ needs four-wire or volt
 * drop even where the author states no method.
 */
export function instrumentNeeds(stated: StatedNeeds, unit: string, range: Range | null): InstrumentNeeds {
  const small =
    range !== null &&
    range.unit === 'ohm' &&
    range.max !== null &&
    range.max <= LOST_IN_LEADS &&
    range.max > 0
  return { ...stated, unit, method: stated.method ?? (small ? '4-wire' : null) }
}

/** Every reason against the instrument for these needs; empty when it suits. */
export function unsuitable(instrument: Instrument, needs: InstrumentNeeds): Unsuitable[] {
  const base = getUnit(needs.unit).base
  const able = instrument.functions.filter(entry => getUnit(entry.unit).base === base)
  const name = `${instrument.kind} ${instrument.serial}`
  if (topOf(instrument, base) === null)
    return [{ severity: 'refuse', because: `The ${name} does not measure ${getUnit(needs.unit).kind}.` }]
  return [
    ...methodReasons(able, needs, name),
    ...voltageReasons(able, needs, name),
    ...electronicsReasons(able, needs, name),
    ...frequencyReasons(able, needs, name),
  ]
}

function methodReasons(able: InstrumentFunction[], needs: InstrumentNeeds, name: string): Unsuitable[] {
  const resists = getUnit(needs.unit).base === 'ohm'
  const better = new Set<Method>(['4-wire', 'volt drop under load'])
  if (needs.method === null || !resists || able.some(entry => better.has(entry.method))) return []
  return [
    {
      severity: 'refuse',
      because: `The ${name} measures with two wires, and its leads alone have more than this contact. Use four wires, or the volt drop under load.`,
    },
  ]
}

function voltageReasons(able: InstrumentFunction[], needs: InstrumentNeeds, name: string): Unsuitable[] {
  const { testVoltage, mostTestVoltage } = needs
  const reasons: Unsuitable[] = []
  if (testVoltage !== null && !able.some(entry => entry.testVoltage === testVoltage))
    reasons.push({
      severity: 'refuse',
      because: `The ${name} does not test at ${formatQuantity(testVoltage, 'V')}.`,
    })
  if (mostTestVoltage !== null && able.every(entry => (entry.testVoltage ?? Infinity) > mostTestVoltage))
    reasons.push(tooManyVolts(able, mostTestVoltage, name))
  return reasons
}

function tooManyVolts(able: InstrumentFunction[], most: number, name: string): Unsuitable {
  const voltageGiven = able.some(entry => typeof entry.testVoltage === 'number')
  const film =
    most <= FILM_VOLTAGE ? ' A higher voltage breaks through the film on a contact and hides the fault.' : ''
  return voltageGiven
    ? { severity: 'refuse', because: `The ${name} tests above ${formatQuantity(most, 'V')}.${film}` }
    : {
        severity: 'caution',
        because: `The test voltage of the ${name} is not on record, and may not be above ${formatQuantity(most, 'V')}.${film}`,
      }
}

function electronicsReasons(able: InstrumentFunction[], needs: InstrumentNeeds, name: string): Unsuitable[] {
  const high = able.some(entry => (entry.testVoltage ?? 0) > 50)
  if (!needs.electronicsConnected || !high) return []
  return [
    {
      severity: able.every(entry => (entry.testVoltage ?? 0) > 50) ? 'refuse' : 'caution',
      because: `The ${name} can put its test voltage on connected electronics and destroy them. Disconnect them, or use an ordinary ohms range.`,
    },
  ]
}

/** A function with no frequencies on record is taken to read any. */
function frequencyReasons(
  able: InstrumentFunction[],
  { frequency }: InstrumentNeeds,
  name: string,
): Unsuitable[] {
  if (frequency === null || able.some(entry => reads(entry, frequency))) return []
  const what = frequency === 0 ? 'DC' : formatQuantity(frequency, 'Hz')
  return [{ severity: 'refuse', because: `The ${name} does not read at ${what}.` }]
}

function reads({ frequency }: InstrumentFunction, hertz: number): boolean {
  return !frequency || (frequency.from <= hertz && hertz <= frequency.to)
}
