import { beforeEach, describe, expect, it } from 'vitest'
import { attendance, fault, type Made, makeFault, makeRailway, START, swapRepair } from './make.ts'

let made: Made
beforeEach(() => {
  made = makeRailway()
})

const names = (found: { name: string }[]) => found.map(({ name }) => name)

describe('sites', () => {
  it.each([
    ['alder', ['Alder Bank']],
    ['branch', ['Birch Cutting']],
    ['40 ch', ['Alder Bank']],
    ['bc21', ['Birch Cutting']],
    ['signal 12', ['Alder Bank']],
    [' ', ['Alder Bank', 'Birch Cutting']],
    ['%', []],
    ['_', []],
    ["'; DROP TABLE sites; --", []],
  ])('are found by %j', (search, found) => {
    expect(names(made.storage.sites.list({ search }))).toEqual(found)
  })

  it('come a page at a time', () => {
    expect(names(made.storage.sites.list({ limit: 1 }))).toEqual(['Alder Bank'])
    expect(names(made.storage.sites.list({ limit: 1, offset: 1 }))).toEqual(['Birch Cutting'])
  })

  it('are made once, and each has its own name', () => {
    const site = made.storage.sites.get('s1')
    expect(made.storage.sites.create(site)).toEqual({ repeated: true })
    expect(() => made.storage.sites.create({ ...site, id: 's9', name: 'ALDER BANK' })).toThrow(
      expect.objectContaining({ code: 'conflict' }),
    )
    expect(() => made.storage.sites.get('?')).toThrow(expect.objectContaining({ code: 'not found' }))
  })
})

describe('positions', () => {
  it('come whole, with facts and what is fitted', () => {
    expect(made.storage.positions.get('p1')).toEqual({
      ...{
        id: 'p1',
        siteId: 's1',
        siteName: 'Alder Bank',
        siteAccess: 'gate',
        name: 'Signal 11',
        plate: 'AB11',
      },
      ...{ equipment: 'loop-transmitter', indicated: false, inService: '2020-01-01', outOfService: null },
      facts: { 'cable length': '80 m', direction: 'normal' },
      fitted: [
        {
          ...{ fittingId: 'f1', unitId: 'u1', kind: 'transmitter module', serial: 'T100', variant: 'normal' },
          fittedAt: '2020-01-01T00:00:00.000Z',
        },
      ],
    })
    expect(made.storage.positions.get('p2')).toMatchObject({ facts: {}, fitted: [] })
    expect(() => made.storage.positions.get('?')).toThrow(expect.objectContaining({ code: 'not found' }))
  })

  it('are listed by site, with their neighbours, and found by name, plate and site', () => {
    const { positions } = made.storage
    expect(names(positions.listBySite('s1'))).toEqual(['Signal 11', 'Signal 12'])
    expect(names(positions.neighbours('p1'))).toEqual(['Signal 12'])
    expect(names(positions.search('birch', 9))).toEqual(['Signal 21'])
    expect(names(positions.search('ab1', 9))).toEqual(['Signal 11', 'Signal 12'])
    expect(names(positions.search('signal', 2))).toEqual(['Signal 11', 'Signal 12'])
    expect(names(positions.search('100%', 9))).toEqual([])
  })

  it('have facts that can be set and set again', () => {
    made.storage.positions.setFact('p1', 'cable length', '95 m')
    made.storage.positions.setFact('p1', '__proto__', 'x')
    const { facts } = made.storage.positions.get('p1')
    expect(Object.entries(facts)).toEqual([
      ['__proto__', 'x'],
      ['cable length', '95 m'],
      ['direction', 'normal'],
    ])
  })

  it('have each their own plate', () => {
    const copy = { ...made.storage.positions.get('p1'), id: 'p9', name: 'Signal 99', plate: 'ab11' }
    expect(() => made.storage.positions.create(copy)).toThrow(expect.objectContaining({ code: 'conflict' }))
    expect(made.storage.positions.create(made.storage.positions.get('p1'))).toEqual({ repeated: true })
  })
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

describe('people', () => {
  it('are known by name, whatever the capitals, and by no other’s', () => {
    const { people } = made.storage
    expect(people.findByName('ADA wren')?.id).toBe('ada')
    expect(people.findByName('nobody')).toBeNull()
    expect(() => people.create({ id: 'x', name: 'ada WREN', role: 'author', pinHash: 'y' })).toThrow(
      /already somebody/,
    )
    expect(
      people.create({ id: 'ada', name: 'Ada Wren', role: 'technician', pinHash: 'salted anew' }),
    ).toEqual({
      repeated: true,
    })
    expect(people.count()).toBe(3)
    expect(names(people.list())).toEqual(['Ada Wren', 'Ben Holt', 'Eve Marsh'])
  })

  it('change only in what is given', () => {
    const { people } = made.storage
    expect(people.update('ada', { role: 'engineer' })).toEqual({
      ...{ id: 'ada', name: 'Ada Wren', role: 'engineer', active: true, pinHash: 'x' },
    })
    expect(people.update('ada', { active: false, pinHash: undefined })).toMatchObject({
      active: false,
      pinHash: 'x',
    })
    expect(() => people.update('?', { active: false })).toThrow(
      expect.objectContaining({ code: 'not found' }),
    )
  })
})

describe('editions', () => {
  const files = [{ path: 'trees/b.md', text: '# B\n', sha256: 'b' }]

  it('are kept whole, and once', () => {
    const { editions } = made.storage
    const edition = { id: 'e2', files, publishedBy: 'eve', note: 'new tree' }
    expect(editions.create(edition)).toEqual({ repeated: false })
    expect(editions.create(edition)).toEqual({ repeated: true })
    expect(editions.files('e2')).toEqual(files)
    expect(editions.get('e2')).toEqual({
      ...{ id: 'e2', publishedAt: START, publishedBy: 'eve', publishedByName: 'Eve Marsh', note: 'new tree' },
    })
  })

  it('come newest first, also when two came in the same moment', () => {
    const { editions } = made.storage
    for (const id of ['z', 'a', 'm']) editions.create({ id, files, publishedBy: null, note: '' })
    expect(editions.newest()?.id).toBe('m')
    expect(editions.list().map(({ id }) => id)).toEqual(['m', 'a', 'z', 'e1'])
  })
})

it('a setup code is used once', () => {
  const { setupCodes } = made.storage
  setupCodes.create('hash')
  expect([setupCodes.isOpen('hash'), setupCodes.isOpen('other')]).toEqual([true, false])
  expect([setupCodes.use('other'), setupCodes.use('hash'), setupCodes.use('hash')]).toEqual([
    false,
    true,
    false,
  ])
  expect(setupCodes.isOpen('hash')).toBe(false)
})

describe('a transaction', () => {
  it('writes all or nothing, at one moment', () => {
    const { storage } = made
    expect(() =>
      storage.transaction(() => {
        storage.faults.create(fault)
        storage.attendances.start(attendance)
        throw new Error('power cut')
      }),
    ).toThrow('power cut')
    expect(storage.faults.listOpen()).toEqual([])

    storage.transaction(() => {
      storage.faults.create(fault)
      made.at('2026-03-02T12:00:00.000Z')
      storage.attendances.start(attendance)
    })
    expect(storage.faults.get('fault').attendances[0]?.startedAt).toBe(START)
  })

  it('is not for waiting in', () => {
    expect(() => made.storage.transaction(async () => undefined)).toThrow(/promise/)
    expect(made.storage.faults.create(fault)).toEqual({ repeated: false })
  })
})
