import { AppError } from '../../errors.ts'
import { asCompared, asComparedSql } from '../../look-alike.ts'
import { createRowCache } from '../engine/row-cache.ts'
import { sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'
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
  /** Every word in its name, plate, site, mileage or the serial of what is fitted; those found by name or plate first. */
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

const one = sql<[string], Row>(`${SELECT} WHERE p.id = ?`)
const bySite = sql<[string], Row>(`${SELECT} WHERE p.site_id = ? ORDER BY p.name`)
const matching = sql<object, Row>(`
  WITH known AS (
    SELECT p.id, ${asComparedSql(`p.name || '|' || p.plate || '|' || s.name || '|' || s.mileage || '|' ||
      coalesce(group_concat(u.serial, '|'), '')`)} AS words
    FROM positions p JOIN sites s ON s.id = p.site_id
      LEFT JOIN fittings f ON f.position_id = p.id AND f.removed_at IS NULL LEFT JOIN units u ON u.id = f.unit_id
    GROUP BY p.id)
  ${SELECT} JOIN known k ON k.id = p.id
  WHERE NOT EXISTS (SELECT 1 FROM json_each(@words) w WHERE instr(k.words, w.value) = 0)
  ORDER BY ${asComparedSql('p.plate')} = @whole DESC,
    (SELECT count(*) FROM json_each(@words) w WHERE instr(${asComparedSql("p.name || '|' || p.plate")}, w.value) > 0) DESC,
    s.name, p.name LIMIT @limit`)
const beside = sql<object, Row>(`${SELECT}
  WHERE p.site_id = (SELECT site_id FROM positions WHERE id = @id) AND p.id <> @id ORDER BY p.name`)
const stored = sql<[string], object>(`
  SELECT site_id AS siteId, name, equipment, plate FROM positions WHERE id = ?`)
const insert = sql(`
  INSERT INTO positions (id, site_id, name, equipment, plate, indicated, in_service, out_of_service)
  VALUES (@id, @siteId, @name, @equipment, @plate, @indicated, @inService, @outOfService)`)
const setFact = sql(`
  INSERT INTO position_facts (position_id, fact, value) VALUES (@id, @fact, @value)
  ON CONFLICT (position_id, fact) DO UPDATE SET value = excluded.value`)

export function createPositions({ db, write, once, trail }: Writer): Positions {
  function create({ facts, ...made }: NewPosition): Written {
    const row = { ...made, indicated: Number(made.indicated) }
    return write(() =>
      once(stored(db).get(made.id), row, () => {
        insert(db).run(row)
        for (const [fact, value] of Object.entries(facts)) setFact(db).run({ id: made.id, fact, value })
      }),
    )
  }

  const cache = createRowCache<Position>(db, trail, {
    maxEntries: 2000,
    read(id) {
      const row = one(db).get(id)
      if (row === undefined) throw new AppError('not found', 'There is no such position.')
      return position(row)
    },
    invalidates: ({ table }) => (readFrom.has(table) ? 'all' : null),
  })

  return {
    get: cache.get,
    listBySite: siteId => bySite(db).all(siteId).map(position),
    search(text, limit) {
      const words = text.split(/\s+/).map(asCompared)
      return matching(db)
        .all({ words: JSON.stringify(words), whole: asCompared(text), limit })
        .map(position)
    },
    neighbours: id => beside(db).all({ id }).map(position),
    create,
    setFact: (id, fact, value) => void write(() => setFact(db).run({ id, fact, value })),
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
