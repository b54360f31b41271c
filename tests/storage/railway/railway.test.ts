import { beforeEach, describe, expect, it } from 'vitest'
import { asCompared, asComparedSql } from '../../../server/look-alike.ts'
import { attendance, fault, type Made, makeRailway, START } from '../make.ts'

let made: Made
beforeEach(() => {
  made = makeRailway()
})

const names = (found: { name: string }[]) => found.map(({ name }) => name)

describe('sites', () => {
  it.each([
    ['alder', ['Alderwick Bank']],
    ['branch', ['Birch Cutting']],
    ['40 ch', ['Alderwick Bank']],
    ['bc21', ['Birch Cutting']],
    ['signal 12', ['Alderwick Bank']],
    [' ', ['Alderwick Bank', 'Birch Cutting']],
    ['%', []],
    ['_', []],
    ["'; DROP TABLE sites; --", []],
  ])('are found by %j', (search, found) => {
    expect(names(made.storage.sites.list({ search }))).toEqual(found)
  })

  it('come a page at a time', () => {
    expect(names(made.storage.sites.list({ limit: 1 }))).toEqual(['Alderwick Bank'])
    expect(names(made.storage.sites.list({ limit: 1, offset: 1 }))).toEqual(['Birch Cutting'])
  })

  it('are made once, and each has its own name', () => {
    const site = made.storage.sites.get('s1')
    expect(made.storage.sites.create(site)).toEqual({ repeated: true })
    expect(() => made.storage.sites.create({ ...site, id: 's9', name: 'ALDERWICK BANK' })).toThrow(
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
        siteName: 'Alderwick Bank',
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

  it.each([
    ['ab 11', ['Signal 11']],
    ['AB-1I', ['Signal 11']],
    ['signal ab 12', ['Signal 12']],
    ['12 signal', ['Signal 12']],
    ['alderwick 11', ['Signal 11']],
    ['t 100', ['Signal 11']],
    ['birch 11', []],
  ])('are found by %j first, however it is spaced and ordered', (typed, found) => {
    expect(names(made.storage.positions.search(typed, 9)).slice(0, 1)).toEqual(found)
  })

  it('are compared in SQL as the typed words are', () => {
    const text = "Op. 1/2 – I-L o'0 Éa"
    const sql = `SELECT ${asComparedSql('?')}`
    expect(made.db.prepare(sql).pluck().get(text)).toBe(asCompared(text))
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
      ...{ id: 'ada', name: 'Ada Wren', role: 'engineer', active: true, pinHash: 'x', passwordHash: null },
      given: null,
    })
    people.update('ada', { passwordHash: 'y', given: 'password' })
    expect(people.update('ada', { role: undefined })).toMatchObject({ passwordHash: 'y', given: 'password' })
    expect(people.update('ada', { passwordHash: null, given: null })).toEqual(people.find('ada'))
    expect(people.find('ada')).toMatchObject({ role: 'engineer', passwordHash: null, given: null })
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
