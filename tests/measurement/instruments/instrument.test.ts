import { describe, expect, it } from 'vitest'
import {
  accuracyFor,
  calibration,
  functionFor,
  type Instrument,
  instrumentProblems,
  topOf,
} from '../../../server/measurement/instruments/instrument.ts'
import {
  instrumentNeeds,
  nothingStated,
  unsuitable,
} from '../../../server/measurement/instruments/suitability.ts'
import { meter, plain, range, value } from '../make.ts'

const accuracy = { percent: 1, counts: 3, resolution: 0.1 }
const multimeter: Instrument = {
  id: 'm-1',
  kind: 'multimeter',
  serial: 'M 104',
  calibrationDue: '2026-06-30',
  functions: [
    { unit: 'V AC', range: 60, accuracy: { ...accuracy, resolution: 0.01 }, method: 'direct' },
    { unit: 'V AC', range: 600, accuracy, method: 'direct' },
    { unit: 'ohm', range: 600, accuracy, method: '2-wire', testVoltage: 3 },
    { unit: 'kohm', range: 600, accuracy, method: '2-wire', testVoltage: 3 },
  ],
}
const insulationTester = meter('Mohm', { percent: 3, counts: 2, resolution: 0.1 }, 200, {
  method: '2-wire',
  testVoltage: 500,
})
const contactMeter = meter('mohm', { percent: 0.5, counts: 2, resolution: 0.1 }, 2000, {
  method: '4-wire',
  testVoltage: 0.02,
})

describe('an instrument', () => {
  it('is read on the smallest range that holds the value', () => {
    expect(functionFor(multimeter, 'V AC', 24)?.range).toBe(60)
    expect(functionFor(multimeter, 'V AC', 110)?.range).toBe(600)
    expect(functionFor(multimeter, 'ohm', 2000)?.unit).toBe('kohm')
    expect(functionFor(multimeter, 'V AC', 700)).toBeNull()
    expect(functionFor(multimeter, 'V DC', 1)).toBeNull()
    expect(topOf(multimeter, 'ohm')).toBe(600_000)
    expect(topOf(multimeter, 'A')).toBeNull()
  })

  it('says how far off a reading may be, in base units', () => {
    expect(accuracyFor(multimeter, value(24, 'V AC', 0.01))?.halfWidth).toBeCloseTo(0.27, 12)
    expect(accuracyFor(multimeter, value(2000, 'ohm', 100))?.halfWidth).toBeCloseTo(20 + 300, 9)
    expect(accuracyFor(multimeter, { kind: 'open', unit: 'ohm' })).toBeNull()
    expect(accuracyFor(multimeter, value(1, 'A'))).toBeNull()
  })

  it('is in date to the end of the day its calibration is due', () => {
    expect(calibration(multimeter, '2026-06-30T23:59:00Z')).toBe('in date')
    expect(calibration(multimeter, '2026-07-01T00:00:00Z')).toBe('out of date')
    expect(calibration({ ...multimeter, calibrationDue: null }, '2026-01-01')).toBe('out of date')
  })

  it('has its register entry looked over', () => {
    expect(instrumentProblems(multimeter)).toEqual([])
    const wrong = meter('V AC', { percent: -1, counts: 1, resolution: 0 }, 0)
    expect(instrumentProblems(wrong).length).toBe(3)
    expect(instrumentProblems(meter('V AC', { ...accuracy, resolution: 10 }, 1))[0]).toContain('coarser')
  })
})

describe('what a check needs of an instrument', () => {
  const contact = range(null, 0.05, 'ohm')

  it('is what is stated, in the unit measured', () => {
    const stated = { ...nothingStated, method: '4-wire' as const, mostTestVoltage: 0.02 }
    expect(instrumentNeeds(stated, 'ohm', null)).toEqual({ ...stated, unit: 'ohm' })
    expect(instrumentNeeds(nothingStated, 'V AC', null)).toEqual({ ...nothingStated, unit: 'V AC' })
  })

  it('refuses two wires for a contact in milliohms, though nobody wrote it', () => {
    const needs = instrumentNeeds(nothingStated, 'ohm', contact)
    expect(unsuitable(multimeter, needs)).toMatchObject([{ severity: 'refuse' }])
    expect(unsuitable(multimeter, needs)[0]?.because).toContain('two wires')
    expect(unsuitable(contactMeter, needs)).toEqual([])
    expect(unsuitable(multimeter, instrumentNeeds(nothingStated, 'ohm', range(null, 5, 'ohm')))).toEqual([])
  })

  it('refuses a voltage that breaks through the film on a contact', () => {
    const needs = instrumentNeeds({ ...nothingStated, mostTestVoltage: 0.02 }, 'ohm', null)
    expect(unsuitable(multimeter, needs)[0]).toMatchObject({ severity: 'refuse' })
    expect(plain(unsuitable(multimeter, needs)[0]?.because)).toContain(
      'above 20 mV. A higher voltage breaks through',
    )
    expect(unsuitable(contactMeter, needs)).toEqual([])
    const silent = meter('ohm', accuracy, 600, { method: '4-wire' })
    expect(unsuitable(silent, needs)).toMatchObject([{ severity: 'caution' }])
  })

  it('refuses an insulation tester on connected electronics', () => {
    const needs = instrumentNeeds({ ...nothingStated, electronicsConnected: true }, 'ohm', null)
    expect(unsuitable(insulationTester, needs)).toMatchObject([{ severity: 'refuse' }])
    expect(unsuitable(multimeter, needs)).toEqual([])
    const both = { ...multimeter, functions: [...multimeter.functions, ...insulationTester.functions] }
    expect(unsuitable(both, needs)).toMatchObject([{ severity: 'caution' }])
  })

  it('refuses a meter of the wrong kind or the wrong test voltage', () => {
    expect(unsuitable(insulationTester, instrumentNeeds(nothingStated, 'V AC', null))[0]?.because).toContain(
      'does not measure',
    )
    const needs = instrumentNeeds({ ...nothingStated, testVoltage: 250 }, 'ohm', null)
    expect(unsuitable(insulationTester, needs)[0]?.because).toContain('does not test at')
  })
})
