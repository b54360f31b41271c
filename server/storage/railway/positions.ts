import { AppError } from '../../errors.ts'
import { createKept } from '../engine/kept.ts'
import type { Writer, Written } from '../engine/writer.ts'
import { containing } from './sites.ts'
import type { FittedUnit } from './units.ts'

export interface NewPosition {
  id: string
  siteId: string
  name: string
  /** Slug of the equipment kind. */
  equipment: string
  /** The code on the equipment's plate. */
  plate: string
  /** Whether a failure is shown to the signaller. */
  indicated: boolean
  inService: string
  outOfService: string | null
  facts: Record<string, string>
}

export type Position = NewPosition & {
  siteName: string
  siteAccess: string
  fitted: FittedUnit[]
}

export interface Positions {
  /** 'not found' when there is no such position. */
  get(id: string): Position
  /** By name. */
  listBySite(siteId: string): Position[]
  /** In name, plate and site name. */
  search(text: string, limit: number): Position[]
  /** The others at the same site: the mistake to rule out when a plate is read. */
  neighbours(id: string): Position[]
  create(position: NewPosition): Written
  setFact(id: string, fact: string, value: string): void
}

type Row = Omit<Position, 'indicated' | 'facts' | 'fitted'> & {
  indicated: number
  facts: string
  fitted: string
}

// Facts and fitted units come with the row.
const SELECT = `
  SELECT p.id, p.site_id AS siteId, s.name AS siteName, s.access AS siteAccess, p.name, p.equipment, p.plate,
    p.indicated, p.in_service AS inService, p.out_of_service AS outOfService,
    (SELECT json_group_object(x.fact, x.value) FROM
      (SELECT fact, value FROM position_facts WHERE position_id = p.id ORDER BY fact) x) AS facts,
    (SELECT json_group_array(json_object('fittingId', x.id, 'unitId', x.unit_id, 'kind', x.kind,
        'serial', x.serial, 'variant', x.variant, 'fittedAt', x.fitted_at)) FROM
      (SELECT f.id, f.unit_id, u.kind, u.serial, u.variant, f.fitted_at
       FROM fittings f JOIN units u ON u.id = f.unit_id
       WHERE f.position_id = p.id AND f.removed_at IS NULL ORDER BY u.kind, u.serial) x) AS fitted
  FROM positions p JOIN sites s ON s.id = p.site_id`

/** The tables a position is read from. */
const readFrom = new Set(['sites', 'positions', 'position_facts', 'units', 'fittings'])

export function createPositions({ db, write, once, trail }: Writer): Positions {
  const one = db.prepare<[string], Row>(`${SELECT} WHERE p.id = ?`)
  const bySite = db.prepare<[string], Row>(`${SELECT} WHERE p.site_id = ? ORDER BY p.name`)
  const found = db.prepare<object, Row>(`${SELECT}
    WHERE p.name LIKE @like ESCAPE '\\' OR p.plate LIKE @like ESCAPE '\\' OR s.name LIKE @like ESCAPE '\\'
    ORDER BY s.name, p.name LIMIT @limit`)
  const beside = db.prepare<object, Row>(`${SELECT}
    WHERE p.site_id = (SELECT site_id FROM positions WHERE id = @id) AND p.id <> @id ORDER BY p.name`)
  const known = db.prepare<[string], object>(`
    SELECT site_id AS siteId, name, equipment, plate FROM positions WHERE id = ?`)
  const insert = db.prepare(`
    INSERT INTO positions (id, site_id, name, equipment, plate, indicated, in_service, out_of_service)
    VALUES (@id, @siteId, @name, @equipment, @plate, @indicated, @inService, @outOfService)`)
  const setFact = db.prepare(`
    INSERT INTO position_facts (position_id, fact, value) VALUES (@id, @fact, @value)
    ON CONFLICT (position_id, fact) DO UPDATE SET value = excluded.value`)

  function create({ facts, ...made }: NewPosition): Written {
    const row = { ...made, indicated: Number(made.indicated) }
    return write(() =>
      once(known.get(made.id), row, () => {
        insert.run(row)
        for (const [fact, value] of Object.entries(facts)) setFact.run({ id: made.id, fact, value })
      }),
    )
  }

  const kept = createKept<Position>(db, trail, {
    most: 2000,
    read(id) {
      const row = one.get(id)
      if (row === undefined) throw new AppError('not found', 'There is no such position.')
      return position(row)
    },
    spoiledBy: ({ table }) => (readFrom.has(table) ? 'all' : null),
  })

  return {
    get: kept.get,
    listBySite: siteId => bySite.all(siteId).map(position),
    search: (text, limit) => found.all({ like: containing(text), limit }).map(position),
    neighbours: id => beside.all({ id }).map(position),
    create,
    setFact: (id, fact, value) => void write(() => setFact.run({ id, fact, value })),
  }
}

function position(row: Row): Position {
  return {
    ...row,
    indicated: row.indicated === 1,
    facts: JSON.parse(row.facts) as Record<string, string>,
    fitted: JSON.parse(row.fitted) as FittedUnit[],
  }
}
