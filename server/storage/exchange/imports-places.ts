// Sites and positions from a spreadsheet: a site is known again by its name, a position by its plate.

import { randomId } from '#platform'
import type { PositionRow, SiteRow } from '../../exchange/ready-rows.ts'
import { isTaken } from '../engine/database.ts'
import type { Writer } from '../engine/writer.ts'
import type { Positions } from '../railway/positions.ts'
import type { Site, Sites } from '../railway/sites.ts'
import type { Load } from './imports.ts'

const same = { state: 'same', words: '' } as const
const added = { state: 'new', words: '' } as const
const bad = (words: string) => ({ state: 'bad', words }) as const

export function createImportedPlaces(
  { db }: Writer,
  { sites, positions }: { sites: Sites; positions: Positions },
): { site: Load<SiteRow>; position: Load<PositionRow> } {
  const siteNamed = db.prepare<[string], Site>(
    'SELECT id, name, line, mileage, access FROM sites WHERE name = ?',
  )
  const setSite = db.prepare(
    'UPDATE sites SET line = @line, mileage = @mileage, access = @access WHERE id = @id',
  )
  const withPlate = db.prepare<[string], { id: string }>('SELECT id FROM positions WHERE plate = ?')
  const setPosition = db.prepare(`
    UPDATE positions SET name = @name, indicated = @indicated, in_service = @inService, out_of_service = @outOfService
    WHERE id = @id`)

  function site(row: SiteRow) {
    const known = siteNamed.get(row.name)
    const { name, railwayLine: line, mileage, access } = row
    if (!known) {
      if (name.length > 200) return bad('Name: keep it to 200 characters.')
      sites.create({ id: randomId(), name, line: line ?? '', mileage: mileage ?? '', access: access ?? '' })
      return added
    }
    const wanted = {
      line: line ?? known.line,
      mileage: mileage ?? known.mileage,
      access: access ?? known.access,
    }
    const changes = differing(known, wanted)
    if (changes.length === 0) return same
    setSite.run({ ...wanted, id: known.id })
    return { state: 'changed', words: changes.join('; ') } as const
  }

  function position(row: PositionRow) {
    const home = siteNamed.get(row.site)
    if (!home) return bad(`Site: there is no site “${row.site}” on record. Bring the sites in first.`)
    const known = withPlate.get(row.plate)
    try {
      return known ? changePosition(known.id, home, row) : addPosition(home, row)
    } catch (error) {
      if (!isTaken(error) && !isConflict(error)) throw error
      return bad(`Name: another position at ${home.name} is called “${row.name}”.`)
    }
  }

  function addPosition(home: Site, row: PositionRow) {
    if (row.indicated === null) return bad('Failure shown: say yes or no for a new position.')
    if (row.inService === null) return bad('In service since: say it for a new position.')
    const { plate, name, equipment, indicated, inService, outOfService, facts } = row
    const made = { plate, name, equipment, indicated, inService, outOfService, facts }
    positions.create({ ...made, id: randomId(), siteId: home.id })
    return added
  }

  function changePosition(id: string, home: Site, row: PositionRow) {
    const known = positions.get(id)
    if (known.siteId !== home.id) return bad(`Plate: it is on record at ${known.siteName}.`)
    if (known.equipment !== row.equipment) return bad(`Plate: it is on record as a ${known.equipment}.`)
    const wanted = {
      ...{ name: row.name, indicated: row.indicated ?? known.indicated },
      ...{
        inService: row.inService ?? known.inService,
        outOfService: row.outOfService ?? known.outOfService,
      },
    }
    const facts = Object.entries(row.facts).filter(([fact, value]) => known.facts[fact] !== value)
    const changes = [...differing(known, wanted), ...differing(known.facts, Object.fromEntries(facts))]
    if (changes.length === 0) return same
    setPosition.run({ ...wanted, indicated: Number(wanted.indicated), id })
    for (const [fact, value] of facts) positions.setFact(id, fact, value)
    return { state: 'changed', words: changes.join('; ') } as const
  }

  return { site, position }
}

/** "mileage: 12 m 40 ch → 12 m 44 ch" for each that differs. */
function differing(known: object, wanted: object): string[] {
  const before = new Map<string, unknown>(Object.entries(known))
  return Object.entries(wanted).flatMap(([name, value]) =>
    before.get(name) === value ? [] : [`${name}: ${before.get(name) ?? 'nothing'} → ${value ?? 'nothing'}`],
  )
}

function isConflict(error: unknown): boolean {
  return error instanceof Error && 'code' in error && error.code === 'conflict'
}
