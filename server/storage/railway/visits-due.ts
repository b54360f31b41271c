// When each position was last seen healthy, and which visits are due.

import { inForce } from '../engine/in-force.ts'
import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'
import { containing } from './sites.ts'

export type HowEnded = 'healthy' | 'healthy in part' | 'fault found' | 'broken off'

export interface PositionDue {
  positionId: string
  positionName: string
  siteId: string
  siteName: string
  equipment: string
  plate: string
  indicated: boolean
  inService: string
  /** A repair proved there, or a round that found it wholly healthy; null when that never was. */
  lastHealthy: string | null
  seenHow: 'repair proved' | 'round' | null
  /** Of its equipment kind; null when none is set. */
  intervalDays: number | null
  /** A round begun there and not ended, with no other begun since. */
  openVisitId: string | null
  openVisitBy: string | null
  openFaults: number
}

export interface VisitSummary {
  id: string
  tree: string
  at: string
  byId: string
  byName: string
  endedAt: string | null
  /** null: under way, or left without an end when another was begun since. */
  how: HowEnded | null
  words: string | null
  faultId: string | null
  /** Whether the fault found has been reported since. */
  faultReported: boolean
  findings: number
}

export interface VisitsDue {
  /** Newest first. */
  listByPosition(positionId: string, limit?: number): VisitSummary[]
  dueAt(positionId: string): PositionDue | null
  /** In service now; the longest past its interval first, then those without one, the longest unseen first. */
  listDue(which?: { search?: string; equipment?: string }): PositionDue[]
  intervals(): Map<string, number>
  /** `days` null takes the interval away. */
  setInterval(equipment: string, days: number | null): void
}

type Row = Omit<PositionDue, 'indicated'> & { indicated: number }

const SELECT = `
  SELECT p.id AS positionId, p.name AS positionName, s.id AS siteId, s.name AS siteName, p.equipment, p.plate, p.indicated,
  p.in_service AS inService, nullif(max(coalesce(r.at, ''), coalesce(p.proved_at, '')), '') AS lastHealthy,
  CASE WHEN r.at IS NULL AND p.proved_at IS NULL THEN NULL
    WHEN coalesce(r.at, '') >= coalesce(p.proved_at, '') THEN 'round' ELSE 'repair proved' END AS seenHow,
  i.days AS intervalDays, o.id AS openVisitId, w.name AS openVisitBy,
  (SELECT count(*) FROM open_faults f WHERE f.position_id = p.id AND ${inForce('faults', 'f.fault_id')}) AS openFaults
  FROM (SELECT *, (SELECT x.at FROM proved_repairs x WHERE x.position_id = positions.id
    AND ${inForce('faults', 'x.fault_id')} ORDER BY x.at DESC LIMIT 1) AS proved_at FROM positions) p
  JOIN sites s ON s.id = p.site_id
  LEFT JOIN (SELECT v.position_id, max(e.at) AS at FROM visit_ends e JOIN visits v ON v.id = e.visit_id
    WHERE e.how = 'healthy' GROUP BY v.position_id) r ON r.position_id = p.id
  LEFT JOIN visits o ON o.id = (SELECT v.id FROM visits v WHERE v.position_id = p.id ORDER BY v.at DESC, v.id LIMIT 1)
    AND NOT EXISTS (SELECT 1 FROM visit_ends e WHERE e.visit_id = o.id)
  LEFT JOIN people w ON w.id = o.by
  LEFT JOIN visit_intervals i ON i.equipment = p.equipment`

const one = sql<[string], Row>(`${SELECT} WHERE p.id = ?`)
const all = sql<object, Row>(`${SELECT}
  WHERE (p.out_of_service IS NULL OR p.out_of_service > @now) AND (@equipment IS NULL OR p.equipment = @equipment)
    AND (p.name LIKE @like ESCAPE '\\' OR p.plate LIKE @like ESCAPE '\\' OR s.name LIKE @like ESCAPE '\\')
  ORDER BY i.days IS NULL, julianday(coalesce(lastHealthy, p.in_service)) + coalesce(i.days, 0), s.name, p.name`)
const byPosition = sql<object, Omit<VisitSummary, 'faultReported'> & { faultReported: number }>(`
  SELECT v.id, v.tree, v.at, v.by AS byId, p.name AS byName, e.at AS endedAt, e.how, e.words, e.fault_id AS faultId,
    EXISTS (SELECT 1 FROM faults f WHERE f.id = e.fault_id) AS faultReported,
    (SELECT count(*) FROM visit_findings n WHERE n.visit_id = v.id) AS findings
  FROM visits v JOIN people p ON p.id = v.by LEFT JOIN visit_ends e ON e.visit_id = v.id
  WHERE v.position_id = @positionId ORDER BY v.at DESC, v.id LIMIT @limit`)
const intervals = sql<[], { equipment: string; days: number }>(
  'SELECT equipment, days FROM visit_intervals ORDER BY equipment',
)
const put = sql(`
  INSERT INTO visit_intervals (equipment, days) VALUES (@equipment, @days)
  ON CONFLICT (equipment) DO UPDATE SET days = excluded.days WHERE days <> excluded.days`)
const take = sql('DELETE FROM visit_intervals WHERE equipment = ?')

export function createVisitsDue({ db, write, moment }: Writer): VisitsDue {
  return {
    listByPosition: (positionId, limit = -1) =>
      byPosition(db)
        .all({ positionId, limit })
        .map(({ faultReported, ...row }) => ({ ...row, faultReported: faultReported === 1 })),
    dueAt(positionId) {
      const row = one(db).get(positionId)
      return row ? due(row) : null
    },
    listDue: ({ search = '', equipment } = {}) =>
      all(db)
        .all({ now: moment(), equipment: equipment ?? null, like: containing(search) })
        .map(due),
    intervals: () =>
      new Map(
        intervals(db)
          .all()
          .map(({ equipment, days }) => [equipment, days]),
      ),
    setInterval: (equipment, days) =>
      void write(() => (days === null ? take(db).run(equipment) : put(db).run({ equipment, days }))),
  }
}

function due(row: Row): PositionDue {
  return { ...row, indicated: row.indicated === 1 }
}
