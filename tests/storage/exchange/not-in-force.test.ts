// What an import has written that is not in force is found by nothing: no page differs by it, until it is in force.

import { beforeAll, describe, expect, it } from 'vitest'
import { verifyDatabase } from '../../../server/storage/safekeeping/verify.ts'
import { type Bringing, createStorage, type Storage } from '../../../server/storage/storage.ts'
import { type EveryPage, everyPage, type MetPage } from '../../browser/every-page.ts'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'

const rows = 120

const begun = (site: Site, id: string, subject: 'past faults' | 'temperatures'): Bringing => {
  const { storage, library } = site.deps
  const file = { id, by: 'isla', fileName: `${id}.csv`, sha256: 'x', columns: {} }
  const bringing = storage.imports.begin({ ...file, editionId: library.current().id }, subject)
  bringing.look(subject === 'temperatures' ? days() : faults(site))
  bringing.open(0)
  return bringing
}

/** At each position in turn, of one tree, in the last two years: every list and every figure would have them. */
function faults(site: Site) {
  const tree = [...site.deps.library.current().knowledge.trees.values()].find(one => one.slug === 'dead')
  const [cause = ''] = [
    ...(site.deps.library.current().knowledge.equipment.get('small-transmitter')?.causes.keys() ?? []),
  ]
  const meant = { tree: 'dead', treeEquipment: 'small-transmitter', cause: `small-transmitter/${cause}` }
  const told = { reportedBy: 'signaller', words: 'mended', protection: 'lost' as const, nothingFound: false }
  const symptom = tree?.symptom ?? ''
  const plates = site.deps.storage.positions.listBySite('site').map(one => one.plate)
  return {
    subject: 'past faults' as const,
    rows: Array.from({ length: rows }, (_, n) => {
      const ms = Date.parse('2026-10-30T08:00:00.000Z') - n * 5 * 86_400_000
      const at = { reportedAt: new Date(ms).toISOString(), closedAt: new Date(ms + 3_600_000).toISOString() }
      const plate = plates[n % plates.length] ?? ''
      const named = { line: n + 2, plate, symptom, causeWords: 'fuse', reference: n % 3 ? `R${n}` : null }
      return { ...meant, ...told, ...at, ...named, temperature: n % 20 }
    }),
  }
}

function days() {
  const rows = Array.from({ length: 300 }, (_, n) => {
    const day = new Date(Date.parse('2026-10-30') - n * 86_400_000).toISOString().slice(0, 10)
    return { line: n + 2, day, lowest: n % 9, highest: 10 + (n % 9) }
  })
  return { subject: 'temperatures' as const, rows }
}

/** What only says that something was written, or where the trail stands; and what is made anew each time. */
const ofTheTrail = ['/trail', '/import', '/export', '/export/all.zip']
/** Its codes hold the port, another one for each request here. */
const ofThePort = ['/positions/labels']
/** Says when it was made, and which copy it is. */
const ofTheMoment = ['/tablet/copy']
const tablesOfTheTrail = ['trail', 'imports', 'given_up_imports']

describe('every page', () => {
  let all: EveryPage
  let visitors: Map<MetPage['who'], Visitor>
  let now = 0
  beforeAll(async () => {
    all = await everyPage()
    visitors = new Map([[null, all.site.visitor()]])
    for (const { who } of all.pages) if (who && !visitors.has(who)) visitors.set(who, await all.site.as(who))
    now = all.site.deps.clock().getTime()
  })

  const setClock = (ms: number) => all.site.pass((ms - all.site.deps.clock().getTime()) / 60_000)

  async function drawn(): Promise<Map<string, string>> {
    // Figures that are cached go with a clock put back.
    setClock(now - 60_000)
    await visitors.get('isla')?.get('/review')
    const pages = new Map<string, string>()
    for (const { name, who, address } of all.pages) {
      if ([...ofTheTrail, ...ofThePort, ...ofTheMoment].includes(address)) continue
      setClock(now)
      const { html = '', location = '' } = (await visitors.get(who)?.get(address)) ?? {}
      expect([address, location.startsWith('/sign-in')]).toEqual([address, false])
      pages.set(
        `${name} ${address}`,
        html.replace(/[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f-]{22}|Trail at <code>[^<]*/g, 'id'),
      )
    }
    const { exports } = all.site.deps.storage
    for (const { name, rows } of exports.list())
      if (!tablesOfTheTrail.includes(name))
        pages.set(`table ${name}`, JSON.stringify([rows, ...exports.parts(name)]))
    return pages
  }
  const differing = (a: Map<string, string>, b: Map<string, string>) =>
    [...a.keys()].filter(name => a.get(name) !== b.get(name))

  it('is the same while an import is not in force, and again once it is given up; and shows it once it is', async () => {
    const before = await drawn()
    const volatile = differing(before, await drawn())
    expect(volatile).toEqual([])
    for (const subject of ['past faults', 'temperatures'] as const) {
      const bringing = begun(all.site, `given up ${subject}`, subject)
      for (let n = 0; n < 3; n += 1) bringing.write(30)
      expect(differing(before, await drawn())).toEqual([])
      while (!all.site.deps.storage.imports.sweep(50, 'cancelled')) expect(bringing.written().done).toBe(90)
      expect(differing(before, await drawn())).toEqual([])
    }
    const bringing = begun(all.site, 'in force', 'past faults')
    bringing.write(1000)
    expect(differing(before, await drawn())).toEqual([])
    bringing.putInForce()
    const shown = differing(before, await drawn())
    for (const name of [
      'review /review',
      'quality /quality',
      'sites /sites',
      'table faults',
      'table conditions',
    ])
      expect(shown).toContain(name)
    expect(shown.length).toBeGreaterThan(25)
    expect(verifyDatabase(all.site.db).problems).toEqual([])
  })
})

describe('an import that the program did not end', () => {
  const count = (site: Site, table: string) => site.db.prepare(`SELECT count(*) FROM ${table}`).pluck().get()

  it('is found at the next start, and what it has written is taken away', async () => {
    const site = await makeSite()
    begun(site, 'killed', 'past faults').write(50)
    begun(await makeSite(), 'elsewhere', 'past faults')
    expect([count(site, 'faults'), count(site, 'closures'), count(site, 'conditions')]).toEqual([50, 50, 50])
    const { imports, faults } = createStorage(site.db, site.deps.clock)
    expect(imports.underWay()).toMatchObject({ id: 'killed', underWay: true, givenUp: null, added: rows })
    expect([imports.list(9), faults.listRecent(9)]).toEqual([[], []])
    let steps = 1
    while (!imports.sweep(20, 'stopped')) steps += 1
    expect(steps).toBe(3)
    for (const table of ['faults', 'imported_faults', 'closures', 'conditions', 'not_in_force'])
      expect([table, count(site, table)]).toEqual([table, 0])
    expect(imports.underWay()).toBeNull()
    expect(imports.find('killed')).toMatchObject({ underWay: false, givenUp: 'stopped' })
    expect(verifyDatabase(site.db).problems).toEqual([])
  })

  it('leaves nothing in the way of the same file', async () => {
    const site = await makeSite()
    begun(site, 'first', 'past faults').write(50)
    while (!site.deps.storage.imports.sweep(20, 'stopped'));
    const again = begun(site, 'second', 'past faults')
    expect(again.counts()).toEqual({ added: rows, changed: 0, same: 0, bad: 0 })
    again.write(rows)
    again.putInForce()
    expect(site.deps.storage.faults.listRecent(500)).toHaveLength(rows)
    expect(site.deps.storage.imports.list(9).map(one => [one.id, one.givenUp])).toEqual([
      ['second', null],
      ['first', 'stopped'],
    ])
  })
})

/** All that storage finds of faults and days, whether a page shows it or not. */
function allFound({ faults, history, quality, sites, visits, walked, pastFaults }: Storage): string {
  const window = { fromMs: Date.parse('2020-01-01'), toMs: Date.parse('2027-01-01') }
  const here = ['up', 'down']
  const lists = [faults.listOpen(), faults.listUnsettled(), faults.listRecent(900), faults.listBySite('site')]
  const found = {
    lists: [...lists, ...here.map(id => faults.listByPosition(id))],
    counted: here.map(id => faults.countEarlier(id, '2026-11-01T00:00:00.000Z', 900)),
    sources: history.faultSources(),
    streams: [history.families(window), history.faults(window), history.closures(window)].map(rows => [
      ...rows,
    ]),
    ofPosition: here.map(id => history.ofPosition.faults(id, window)),
    healthy: history.ofPosition.lastHealthy(here),
    sightings: history.ofPosition.sightings(),
    weather: [history.conditions('temperature', [window]), history.dailyTemperatures()],
    quality: [...quality.faults('2020', '2027')],
    elsewhere: [sites.list(), visits.listDue(), walked.symptoms(), pastFaults.list(), pastFaults.latest(900)],
  }
  return JSON.stringify(found, (_, value) => (value instanceof Map ? [...value] : value))
}

it.each(['past faults', 'temperatures'] as const)(
  'no query finds %s that are not in force',
  async subject => {
    const site = await makeSite()
    // A position whose failure is not shown has sightings of its own.
    const { storage } = site.deps
    storage.positions.create({
      ...{
        id: 'unseen',
        siteId: 'site',
        name: 'Loops, depot',
        plate: 'WH-3-X',
        equipment: 'small-transmitter',
      },
      ...{ indicated: false, inService: '2019-01-01T00:00:00.000Z', outOfService: null, facts: {} },
    })
    const before = allFound(storage)
    const bringing = begun(site, 'hidden', subject)
    bringing.write(1000)
    expect(allFound(storage)).toBe(before)
    bringing.putInForce()
    const after = JSON.parse(allFound(storage))
    const was = JSON.parse(before)
    const changed = Object.keys(was).filter(name => JSON.stringify(was[name]) !== JSON.stringify(after[name]))
    // A past fault was proved by nobody here, so no position is seen working for it.
    const all = Object.keys(was).filter(name => name !== 'healthy')
    expect(changed).toEqual(subject === 'temperatures' ? ['weather'] : all)
  },
)

it('a past fault that is not in force is not there, even for whoever knows its id', async () => {
  const site = await makeSite()
  const bringing = begun(site, 'hidden', 'past faults')
  bringing.write(1)
  const id = site.db.prepare<[], string>('SELECT id FROM faults').pluck().get() ?? ''
  const { faults, pastFaults, holdReleases } = site.deps.storage
  expect(() => faults.get(id)).toThrow('no such fault')
  expect(() => faults.summary(id)).toThrow('no such fault')
  expect(() => holdReleases.add({ id: 'h', faultId: id, by: 'isla', reason: 'seen' })).toThrow(
    'no such fault',
  )
  expect(pastFaults.situationOf(id)).toBeNull()
  bringing.putInForce()
  expect([faults.get(id).fault.id, faults.summary(id).id]).toEqual([id, id])
})

it.each(['past faults', 'temperatures'] as const)(
  '%s that are not in force are not found by another file',
  async subject => {
    const site = await makeSite()
    const first = begun(site, 'first', subject)
    first.write(1000)
    const { storage, library } = site.deps
    const file = { id: 'second', by: 'isla', fileName: 'second.csv', sha256: 'x', columns: {} }
    const counts = () => {
      const second = storage.imports.begin({ ...file, editionId: library.current().id }, subject)
      second.look(subject === 'temperatures' ? days() : faults(site))
      return second.counts()
    }
    const { added } = first.counts()
    expect(counts()).toEqual({ added, changed: 0, same: 0, bad: 0 })
    first.putInForce()
    expect(counts()).toEqual({ added: 0, changed: 0, same: added, bad: 0 })
  },
)

it('rows of a past fault count at once in the ranking when they come in force', async () => {
  const site = await makeSite()
  const elsewhere = { id: null, siteId: 'other', positionId: 'other', units: ['transmitter module T100'] }
  const what = { tree: 'dead', equipment: 'small-transmitter', conditions: {}, cause: null }
  const here = { ...elsewhere, ...what, reportedAt: '2026-11-01T00:00:00.000Z' }
  const counted = ({ pastFaults }: Storage) =>
    JSON.stringify(
      [
        pastFaults.countsFor(here),
        pastFaults.countsFor({ ...here, siteId: 'site' }),
        ...[pastFaults.list(), pastFaults.list('small-transmitter'), pastFaults.latest(1000)].map(
          list => list.length,
        ),
      ],
      (_, value) => (value instanceof Map ? [...value] : value),
    )
  const { storage } = site.deps
  const before = counted(storage)
  const bringing = begun(site, 'counted', 'past faults')
  bringing.write(rows)
  // What was counted before, and what is counted for the first time.
  for (const some of [storage, createStorage(site.db, site.deps.clock)]) expect(counted(some)).toBe(before)
  bringing.putInForce()
  expect(counted(storage)).toContain(`${rows},${rows},${rows}]`)
  expect(counted(storage)).toBe(counted(createStorage(site.db, site.deps.clock)))
  expect(storage.imports.underWay()).toBeNull()
})
