import { beforeEach, describe, expect, it } from 'vitest'
import type { Instrument } from '../../../server/measurement/instruments/instrument.ts'
import { type Made, makeFault, reading, START } from '../make.ts'

const meter: Instrument = {
  ...{ id: 'm4', kind: 'multimeter', serial: 'A4', calibrationDue: null },
  functions: [
    { unit: 'V AC', range: 600, accuracy: { percent: 1, counts: 3, resolution: 0.1 }, method: 'direct' },
  ],
}

let made: Made
beforeEach(() => {
  made = makeFault()
  made.storage.instruments.create(meter)
})

describe('an instrument', () => {
  it('is kept once, by kind and serial', () => {
    const { instruments } = made.storage
    expect(instruments.create(meter)).toEqual({ repeated: true })
    expect(() => instruments.create({ ...meter, serial: 'A5' })).toThrow(/other content/)
    expect(() => instruments.create({ ...meter, id: 'm5', serial: 'a4' })).toThrow(/in the register already/)
    expect(instruments.list()).toEqual([{ ...meter, active: true }])
    expect(instruments.find('?')).toBeNull()
  })

  it('has the calibration that was on record at the moment', () => {
    const { instruments } = made.storage
    instruments.addCalibration({
      id: 'c1',
      instrumentId: 'm4',
      due: '2026-01-31',
      at: '2025-02-01T00:00:00Z',
    })
    instruments.addCalibration({
      id: 'c2',
      instrumentId: 'm4',
      due: '2027-02-28',
      at: '2026-03-01T00:00:00Z',
    })
    expect(instruments.findAt('m4', '2025-01-01T00:00:00.000Z')?.calibrationDue).toBeNull()
    expect(instruments.findAt('m4', '2026-02-15T00:00:00.000Z')?.calibrationDue).toBe('2026-01-31')
    expect(instruments.find('m4')?.calibrationDue).toBe('2027-02-28')
  })

  it('can be taken out of use and stays on record', () => {
    made.storage.instruments.setActive('m4', false)
    expect(made.storage.instruments.find('m4')?.active).toBe(false)
    expect(() => made.storage.instruments.setActive('?', false)).toThrow(
      expect.objectContaining({ code: 'not found' }),
    )
  })

  it('is named with the readings taken out of date, its last day in date not among them', () => {
    const { instruments, findings } = made.storage
    instruments.addCalibration({
      id: 'c1',
      instrumentId: 'm4',
      due: START.slice(0, 10),
      at: '2025-02-01T00:00:00Z',
    })
    const taken = { ...reading, instrument: 'm4' } as typeof reading
    findings.add(taken)
    expect(instruments.listReadingsOutOfDate(9)).toEqual([])
    findings.add({ ...taken, id: 'late', at: '2026-03-03T00:00:00.000Z' })
    expect(instruments.listReadingsOutOfDate(9)).toEqual([
      {
        ...{ faultId: 'fault', positionName: 'Signal 11', siteName: 'Alderwick Bank', tree: 'output-dead' },
        ...{
          check: 'supply',
          text: '96.4',
          at: '2026-03-03T00:00:00.000Z',
          kind: 'multimeter',
          serial: 'A4',
        },
        due: '2026-03-02',
      },
    ])
  })
})
