// The depot's instruments. What they can do and how far they may be off is made up.

import {
  functionFor,
  type Instrument,
  type InstrumentFunction,
  type Method,
} from '../../measurement/instruments/instrument.ts'
import { instrumentNeeds, unsuitable } from '../../measurement/instruments/suitability.ts'
import type { Range } from '../../measurement/limits/expectation.ts'
import { getUnit } from '../../measurement/readings/units.ts'
import type { Storage } from '../../storage/storage.ts'
import type { MeasuringCheck } from '../story/readings.ts'
import { type DemoPerson, technicians } from './people.ts'

const FIRST_YEAR = 2015
/** This one was not sent away this year, so its readings since New Year are listed as out of date. */
const LATE = 'multimeter-3'

/** A multimeter for each technician, and what the van carries for everybody. */
export const demoInstruments: Instrument[] = [
  ...technicians.map((_, i) => instrument(`multimeter-${i + 1}`, 'multimeter', multimeter())),
  instrument('ohmmeter', 'four-wire ohmmeter', [
    able('ohm', 2, [0.5, 3, 0.0001], '4-wire', 0.02),
    able('ohm', 200, [0.3, 3, 0.01], '4-wire', 0.02),
  ]),
  instrument('current-probe', 'loop current probe', [
    { ...able('A', 3, [2, 2, 0.001]), frequency: { from: 10_000, to: 100_000 } },
    { ...able('A', 30, [2, 3, 0.01]), frequency: { from: 10_000, to: 100_000 } },
  ]),
  instrument('clamp-meter', 'clamp meter', [
    { ...able('A', 6, [1.5, 5, 0.001]), frequency: { from: 0, to: 400 } },
    { ...able('A', 60, [1.5, 5, 0.01]), frequency: { from: 0, to: 400 } },
  ]),
  instrument('insulation-tester', 'insulation tester', [
    able('Mohm', 1000, [3, 2, 0.01], 'direct', 500),
    able('Mohm', 1000, [3, 2, 0.01], 'direct', 250),
  ]),
  instrument('frequency-meter', 'frequency meter', [able('kHz', 100, [0.01, 1, 0.001])]),
  instrument('tape', 'measuring tape', [able('m', 50, [0.05, 1, 0.005])]),
]

/** The first that suits the check, the technician's own multimeter before the rest; null where none does. */
export function instrumentFor(
  check: MeasuringCheck,
  range: Range | null,
  person: DemoPerson,
): Instrument | null {
  const needs = instrumentNeeds(check.instrument, check.does.unit, range)
  const own = `multimeter-${technicians.indexOf(person) + 1}`
  const carried = demoInstruments.filter(({ id, kind }) => id === own || kind !== 'multimeter')
  const { base } = getUnit(check.does.unit)
  const size = range?.min ?? range?.max ?? 0
  const able = carried.filter(one => functionFor(one, base, size) !== null)
  return able.find(one => unsuitable(one, needs).length === 0) ?? null
}

/** Each calibrated at the turn of every year up to now, the late one but for the last. */
export function writeInstruments(storage: Storage, now: Date): void {
  for (const made of demoInstruments) {
    storage.instruments.create(made)
    const last = now.getUTCFullYear() - (made.id === LATE ? 1 : 0)
    for (let year = FIRST_YEAR; year <= last; year++) {
      const calibration = { id: `${made.id}-${year}`, instrumentId: made.id, due: `${year}-12-31` }
      storage.instruments.addCalibration({ ...calibration, at: `${year}-01-01T00:00:00.000Z` })
    }
  }
}

function instrument(id: string, kind: string, functions: InstrumentFunction[]): Instrument {
  const serial = `D-${100 + [...id].reduce((sum, letter) => sum + (letter.codePointAt(0) ?? 0), 0)}`
  return { id, kind, serial, functions, calibrationDue: null }
}

function multimeter(): InstrumentFunction[] {
  return [
    able('V AC', 6, [1, 3, 0.001]),
    able('V AC', 600, [1, 3, 0.1]),
    able('V DC', 0.6, [0.5, 2, 0.0001]),
    able('V DC', 60, [0.5, 2, 0.01]),
    able('V DC', 600, [0.5, 2, 0.1]),
    able('ohm', 600, [1, 5, 0.1], '2-wire', 3),
  ]
}

/** ±(percent of the reading + counts of the resolution) on one range. */
function able(
  unit: string,
  range: number,
  [percent, counts, resolution]: [number, number, number],
  method: Method = 'direct',
  testVoltage: number | null = null,
): InstrumentFunction {
  return { unit, range, accuracy: { percent, counts, resolution }, method, testVoltage }
}
