// Sites and positions from a spreadsheet: a site is recognised by its name, a position by its plate.

import { randomId } from '#platform'
import type { PositionRow, SiteRow } from '../../exchange/ready-rows.ts'
import { type Connection, sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'
import type { Positions } from '../railway/positions.ts'
import type { Site, Sites } from '../railway/sites.ts'
import { added, bad, changed, type Plan, type Planner, same } from './load-row.ts'

const siteNamed = sql<[string], Site>('SELECT id, name, line, mileage, access FROM sites WHERE name = ?')
const setSite = sql('UPDATE sites SET line = @line, mileage = @mileage, access = @access WHERE id = @id')
const withPlate = sql<[string], { id: string }>('SELECT id FROM positions WHERE plate = ?')
const withName = sql<object, { id: string }>(
  'SELECT id FROM positions WHERE site_id = @siteId AND name = @name',
)
const setPosition = sql(`
  UPDATE positions SET name = @name, indicated = @indicated, in_service = @inService, out_of_service = @outOfService
  WHERE id = @id`)

export function planSites({ db }: Writer, { sites }: { sites: Sites }): Planner<SiteRow> {
  return row => {
    const { name, railwayLine: line, mileage, access } = row
    const site = siteNamed(db).get(name)
    if (!site) {
      if (name.length > 200) return bad('Name: keep it to 200 characters.')
      const made = { id: randomId(), name, line: line ?? '', mileage: mileage ?? '', access: access ?? '' }
      return added(() => sites.create(made))
    }
    const wanted = {
      line: line ?? site.line,
      mileage: mileage ?? site.mileage,
      access: access ?? site.access,
    }
    const changes = differing(site, wanted)
    return changes.length === 0 ? same : changed(changes, () => setSite(db).run({ ...wanted, id: site.id }))
  }
}

export function planPositions({ db }: Writer, { positions }: { positions: Positions }): Planner<PositionRow> {
  const names = namesAtSites(db)
  return row => {
    const site = siteNamed(db).get(row.site)
    if (!site) return bad(`Site: there is no site “${row.site}” on record. Bring the sites in first.`)
    const id = withPlate(db).get(row.plate)?.id
    if (id === undefined) return newPosition(positions, names, site, row)
    return changedPosition(db, positions, { names, id, site, row })
  }
}

/** Which position has which name at a site, as it will be once the rows before are on record. */
interface Names {
  /** Takes the name for the position, which gives up the one it had; false when another has it. */
  take(siteId: string, name: string, by: { id: string; instead: string | null }): boolean
}

function namesAtSites(db: Connection): Names {
  const taken = new Map<string, string | null>()
  const keyOf = (siteId: string, name: string) => JSON.stringify([siteId, name])
  return {
    take(siteId, name, { id, instead }) {
      const key = keyOf(siteId, name)
      const holder = taken.has(key) ? taken.get(key) : (withName(db).get({ siteId, name })?.id ?? null)
      if (holder && holder !== id) return false
      if (instead !== null) taken.set(keyOf(siteId, instead), null)
      taken.set(key, id)
      return true
    },
  }
}

function nameTaken(site: Site, { name }: PositionRow): Plan {
  return bad(`Name: another position at ${site.name} is called “${name}”.`)
}

function newPosition(positions: Positions, names: Names, site: Site, row: PositionRow): Plan {
  if (row.indicated === null) return bad('Failure shown: say yes or no for a new position.')
  if (row.inService === null) return bad('In service since: say it for a new position.')
  const { plate, name, equipment, indicated, inService, outOfService, facts } = row
  const id = randomId()
  if (!names.take(site.id, name, { id, instead: null })) return nameTaken(site, row)
  const made = { plate, name, equipment, indicated, inService, outOfService, facts }
  return added(() => positions.create({ ...made, id, siteId: site.id }))
}

function changedPosition(
  db: Connection,
  positions: Positions,
  { names, id, site, row }: { names: Names; id: string; site: Site; row: PositionRow },
): Plan {
  const position = positions.get(id)
  if (position.siteId !== site.id) return bad(`Plate: it is on record at ${position.siteName}.`)
  if (position.equipment !== row.equipment) return bad(`Plate: it is on record as a ${position.equipment}.`)
  const wanted = {
    name: row.name,
    indicated: row.indicated ?? position.indicated,
    inService: row.inService ?? position.inService,
    outOfService: row.outOfService ?? position.outOfService,
  }
  const facts = Object.entries(row.facts).filter(([fact, value]) => position.facts[fact] !== value)
  const changes = [...differing(position, wanted), ...differing(position.facts, Object.fromEntries(facts))]
  if (changes.length === 0) return same
  const named = row.name === position.name || names.take(site.id, row.name, { id, instead: position.name })
  if (!named) return nameTaken(site, row)
  return changed(changes, () => {
    setPosition(db).run({ ...wanted, indicated: Number(wanted.indicated), id })
    for (const [fact, value] of facts) positions.setFact(id, fact, value)
  })
}

/** "mileage: 12 m 40 ch → 12 m 44 ch" for each that differs. */
function differing(stored: object, wanted: object): string[] {
  const current = new Map<string, unknown>(Object.entries(stored))
  return Object.entries(wanted).flatMap(([name, value]) =>
    current.get(name) === value ? [] : [`${name}: ${current.get(name) ?? 'nothing'} → ${value ?? 'nothing'}`],
  )
}
