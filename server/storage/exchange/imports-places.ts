// Sites and positions from a spreadsheet: a site is recognised by its name, a position by its plate.

import { randomId } from '#platform'
import type { PositionRow, SiteRow } from '../../exchange/ready-rows.ts'
import { type Connection, isTaken, sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'
import type { Positions } from '../railway/positions.ts'
import type { Site, Sites } from '../railway/sites.ts'
import { added, bad, changed, type Load, type Loaded, same } from './load-row.ts'

const siteNamed = sql<[string], Site>('SELECT id, name, line, mileage, access FROM sites WHERE name = ?')
const setSite = sql('UPDATE sites SET line = @line, mileage = @mileage, access = @access WHERE id = @id')
const withPlate = sql<[string], { id: string }>('SELECT id FROM positions WHERE plate = ?')
const setPosition = sql(`
  UPDATE positions SET name = @name, indicated = @indicated, in_service = @inService, out_of_service = @outOfService
  WHERE id = @id`)

export function createImportedSites({ db }: Writer, { sites }: { sites: Sites }): Load<SiteRow> {
  return row => {
    const { name, railwayLine: line, mileage, access } = row
    const site = siteNamed(db).get(name)
    if (!site) {
      if (name.length > 200) return bad('Name: keep it to 200 characters.')
      sites.create({ id: randomId(), name, line: line ?? '', mileage: mileage ?? '', access: access ?? '' })
      return added
    }
    const wanted = {
      line: line ?? site.line,
      mileage: mileage ?? site.mileage,
      access: access ?? site.access,
    }
    const changes = differing(site, wanted)
    if (changes.length === 0) return same
    setSite(db).run({ ...wanted, id: site.id })
    return changed(changes)
  }
}

export function createImportedPositions(
  { db }: Writer,
  { positions }: { positions: Positions },
): Load<PositionRow> {
  return row => {
    const site = siteNamed(db).get(row.site)
    if (!site) return bad(`Site: there is no site “${row.site}” on record. Bring the sites in first.`)
    const position = withPlate(db).get(row.plate)
    try {
      if (!position) return addPosition(positions, site, row)
      return changePosition(db, positions, { id: position.id, site, row })
    } catch (error) {
      if (!isTaken(error) && !isConflict(error)) throw error
      return bad(`Name: another position at ${site.name} is called “${row.name}”.`)
    }
  }
}

function addPosition(positions: Positions, site: Site, row: PositionRow): Loaded {
  if (row.indicated === null) return bad('Failure shown: say yes or no for a new position.')
  if (row.inService === null) return bad('In service since: say it for a new position.')
  const { plate, name, equipment, indicated, inService, outOfService, facts } = row
  const made = { plate, name, equipment, indicated, inService, outOfService, facts }
  positions.create({ ...made, id: randomId(), siteId: site.id })
  return added
}

function changePosition(
  db: Connection,
  positions: Positions,
  { id, site, row }: { id: string; site: Site; row: PositionRow },
): Loaded {
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
  setPosition(db).run({ ...wanted, indicated: Number(wanted.indicated), id })
  for (const [fact, value] of facts) positions.setFact(id, fact, value)
  return changed(changes)
}

/** "mileage: 12 m 40 ch → 12 m 44 ch" for each that differs. */
function differing(stored: object, wanted: object): string[] {
  const current = new Map<string, unknown>(Object.entries(stored))
  return Object.entries(wanted).flatMap(([name, value]) =>
    current.get(name) === value ? [] : [`${name}: ${current.get(name) ?? 'nothing'} → ${value ?? 'nothing'}`],
  )
}

function isConflict(error: unknown): boolean {
  return error instanceof Error && 'code' in error && error.code === 'conflict'
}
