import { beforeEach, describe, expect, it } from 'vitest'
import { type Made, makeFault, makeRailway, START, swapRepair } from '../make.ts'

let made: Made
beforeEach(() => {
  made = makeRailway()
})

describe('units', () => {
  it('are in one place at a time', () => {
    const { units } = made.storage
    const fitting = { id: 'f2', unitId: 'u1', positionId: 'p2', fittedAt: START }
    expect(() => units.fit(fitting)).toThrow(expect.objectContaining({ code: 'conflict' }))
    units.remove('u1', START)
    expect(units.fit(fitting)).toEqual({ repeated: false })
    expect(units.fit(fitting)).toEqual({ repeated: true })
    expect(units.historyOfUnit('u1').map(({ positionName, removedAt }) => [positionName, removedAt])).toEqual(
      [
        ['Signal 12', null],
        ['Signal 11', START],
      ],
    )
  })

  it('are known by kind and serial, whatever the capitals', () => {
    expect(made.storage.units.findBySerial('transmitter module', 't100')?.id).toBe('u1')
    expect(made.storage.units.findBySerial('power module', 'T100')).toBeNull()
  })
})

describe('a swap', () => {
  beforeEach(() => {
    made = makeFault()
  })
  const fitted = (position: string) => made.storage.positions.get(position).fitted.map(({ serial }) => serial)
  const swapOf = (swap: object) => {
    if (swapRepair.swap === null) throw new Error('no swap')
    return { ...swapRepair, swap: { ...swapRepair.swap, ...swap } }
  }

  it('takes the old unit out and puts the new one in, at that moment', () => {
    made.at('2026-03-02T09:00:00.000Z')
    made.storage.repairs.add(swapRepair)
    const history = made.storage.units.historyOfPosition('p1')
    expect(history.map(({ serial, fittedAt, removedAt }) => [serial, fittedAt, removedAt])).toEqual([
      ['T200', '2026-03-02T09:00:00.000Z', null],
      ['T100', '2020-01-01T00:00:00.000Z', '2026-03-02T09:00:00.000Z'],
    ])
    expect(made.storage.units.findBySerial('transmitter module', 'T200')?.variant).toBe('normal')
  })

  it('moves nothing when it is sent again', () => {
    made.storage.repairs.add(swapRepair)
    made.storage.repairs.add(swapRepair)
    expect(fitted('p1')).toEqual(['T200'])
    expect(made.storage.units.historyOfPosition('p1')).toHaveLength(2)
  })

  it('brings a unit that is on record elsewhere', () => {
    made.storage.units.create({ id: 'u2', kind: 'transmitter module', serial: 'T200', variant: 'opposite' })
    made.storage.units.fit({ id: 'f2', unitId: 'u2', positionId: 'p3', fittedAt: START })
    made.storage.repairs.add(swapRepair)
    expect([fitted('p1'), fitted('p3')]).toEqual([['T200'], []])
    expect(made.storage.units.find('u2')?.variant).toBe('normal')
  })

  it('believes the plate where the record has another unit', () => {
    made.storage.repairs.add(swapOf({ serialOut: 'T150' }))
    expect(fitted('p1')).toEqual(['T200'])
    expect(made.storage.units.findBySerial('transmitter module', 'T150')).not.toBeNull()
  })

  it('leaves a second unit of the kind where it is', () => {
    made.storage.units.create({ id: 'u3', kind: 'transmitter module', serial: 'T101', variant: 'normal' })
    made.storage.units.fit({ id: 'f3', unitId: 'u3', positionId: 'p1', fittedAt: START })
    made.storage.repairs.add(swapRepair)
    expect(fitted('p1')).toEqual(['T101', 'T200'])
  })

  it('works with a clock that was put back', () => {
    made.storage.repairs.add({ ...swapRepair, at: '2019-01-01T00:00:00.000Z' })
    expect(fitted('p1')).toEqual(['T200'])
  })

  it('is refused with one serial number for both, and moves nothing', () => {
    expect(() => made.storage.repairs.add(swapOf({ serialIn: 't100' }))).toThrow(/same serial number/)
    expect(fitted('p1')).toEqual(['T100'])
  })

  it('is all or nothing: a repair that can’t be written moves nothing', () => {
    expect(() => made.storage.repairs.add(swapOf({ override: { by: '?', reason: 'x' } }))).toThrow(
      /FOREIGN KEY/,
    )
    expect(fitted('p1')).toEqual(['T100'])
    expect(made.storage.faults.get('fault').repairs).toEqual([])
  })
})
