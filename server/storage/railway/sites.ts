import { AppError } from '../../errors.ts'
import { inForce } from '../engine/in-force.ts'
import { sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'

export interface Site {
  id: string
  name: string
  line: string
  mileage: string
  access: string
}

/** `faultsInYear`: reported in the last 365 days. `repeatPositions`: those where one of them was a repeat. */
export type SiteSummary = Site & {
  positions: number
  openFaults: number
  faultsInYear: number
  repeatPositions: number
}

export interface Sites {
  /** By name. `search` looks in name, line and mileage, and in the names and plates of the positions. */
  list(which?: { search?: string; limit?: number; offset?: number }): SiteSummary[]
  /** 'not found' when there is no such site. */
  get(id: string): Site
  create(site: Site): Written
}

const one = sql<[string], Site>('SELECT id, name, line, mileage, access FROM sites WHERE id = ?')
const insert = sql(
  'INSERT INTO sites (id, name, line, mileage, access) VALUES (@id, @name, @line, @mileage, @access)',
)
const list = sql<object, SiteSummary>(`
  WITH tally AS (
    SELECT p.site_id, count(*) AS in_year,
      count(DISTINCT CASE WHEN EXISTS (
        SELECT 1 FROM faults e WHERE e.position_id = f.position_id AND e.reported_at < f.reported_at
          AND e.reported_at >= strftime('%Y-%m-%dT%H:%M:%fZ', f.reported_at, @window)
          AND ${inForce('faults', 'e.id')}
      ) THEN f.position_id END) AS repeats
    FROM faults f JOIN positions p ON p.id = f.position_id
    WHERE f.reported_at >= @yearAgo AND ${inForce('faults', 'f.id')} GROUP BY p.site_id
  ), open AS (
    SELECT p.site_id, count(*) AS faults FROM open_faults f JOIN positions p ON p.id = f.position_id
    WHERE ${inForce('faults', 'f.fault_id')} GROUP BY p.site_id
  )
  SELECT s.id, s.name, s.line, s.mileage, s.access,
    (SELECT count(*) FROM positions p WHERE p.site_id = s.id) AS positions,
    coalesce(o.faults, 0) AS openFaults, coalesce(t.in_year, 0) AS faultsInYear,
    coalesce(t.repeats, 0) AS repeatPositions
  FROM sites s LEFT JOIN tally t ON t.site_id = s.id LEFT JOIN open o ON o.site_id = s.id
  WHERE s.name LIKE @like ESCAPE '\\' OR s.line LIKE @like ESCAPE '\\' OR s.mileage LIKE @like ESCAPE '\\'
    OR EXISTS (SELECT 1 FROM positions p WHERE p.site_id = s.id
      AND (p.name LIKE @like ESCAPE '\\' OR p.plate LIKE @like ESCAPE '\\'))
  ORDER BY s.name LIMIT @limit OFFSET @offset`)

export function createSites({ db, write, moment, once }: Writer, repeatWindowDays: number): Sites {
  return {
    list({ search = '', limit = -1, offset = 0 } = {}) {
      const yearAgo = new Date(Date.parse(moment()) - 365 * 86_400_000).toISOString()
      return list(db).all({
        like: containing(search),
        limit,
        offset,
        yearAgo,
        window: `-${repeatWindowDays} days`,
      })
    },
    get(id) {
      const site = one(db).get(id)
      if (site === undefined) throw new AppError('not found', 'There is no such site.')
      return site
    },
    create: site => write(() => once(one(db).get(site.id), site, () => void insert(db).run(site))),
  }
}

/** A LIKE pattern for text that contains what was typed, taken literally. */
export function containing(typed: string): string {
  return `%${typed.trim().replace(/[\\%_]/g, '\\$&')}%`
}
