// Everything on record for one position, of every kind, for its one timeline.

import type { Sighting } from '../../history/positions/sightings.ts'
import { oldestMs, timeMs } from '../../times.ts'
import { inForce } from '../engine/in-force.ts'
import { type Connection, sql, tuples } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'
import { bounds, type Span } from './history-window.ts'

export interface PositionFault {
  id: string
  family: string
  symptom: string
  atMs: number
  /** When it was closed; null while it is open. */
  closedMs: number | null
  outcome: string | null
  /** `equipment/cause` */
  cause: string | null
  clearedItself: boolean
  protection: string
}

export interface PositionEvent {
  faultId: string
  atMs: number
  /** Name of who did it. */
  by: string
  words: string
}

export interface PositionStay {
  unitId: string
  kind: string
  serial: string
  fittedMs: number
  removedMs: number | null
}

export interface HistoryOfPosition {
  /** Oldest first, as all that follow. */
  faults(positionId: string, window: Span): PositionFault[]
  visits(positionId: string, window: Span): PositionEvent[]
  /** What was mended; `words` names the action and the cause. */
  work(positionId: string, window: Span): (PositionEvent & { action: string; cause: string })[]
  notes(positionId: string, window: Span): PositionEvent[]
  stays(positionId: string): PositionStay[]
  /** When it was last seen working, by position: a fault there closed, or a round that found it healthy; others left out. */
  lastHealthy(positionIds: readonly string[]): Map<string, number>
  /** What was seen of the positions whose failure is not indicated, each in order of time. */
  sightings(): (Sighting & { equipment: string })[]
}

interface Row {
  faultId: string
  at: string
  by: string
  words: string
}

const faults = sql<
  object,
  Omit<PositionFault, 'atMs' | 'closedMs' | 'clearedItself'> & {
    at: string
    closed: string | null
    cleared: number | null
  }
>(`
    SELECT f.id, f.tree AS family, f.symptom, f.reported_at AS at, c.at AS closed, c.outcome, c.cause,
      c.cleared_itself AS cleared, f.protection
    FROM faults f LEFT JOIN closures c ON c.fault_id = f.id
    WHERE f.position_id = @positionId AND f.reported_at >= @from AND f.reported_at < @to
      AND ${inForce('faults', 'f.id')} ORDER BY f.reported_at`)
const visits = sql<object, Row>(`
  SELECT a.fault_id AS faultId, a.started_at AS at, p.name AS by, f.symptom AS words
  FROM faults f JOIN attendances a ON a.fault_id = f.id JOIN people p ON p.id = a.person_id
  WHERE f.position_id = @positionId AND a.started_at >= @from AND a.started_at < @to ORDER BY a.started_at`)
const work = sql<object, Row & { action: string; cause: string }>(`
  SELECT r.fault_id AS faultId, r.at, p.name AS by, r.words, r.action, r.cause
  FROM faults f JOIN repairs r ON r.fault_id = f.id JOIN people p ON p.id = r.by
  WHERE f.position_id = @positionId AND r.at >= @from AND r.at < @to AND r.action <> 'nothing changed' ORDER BY r.at`)
const notes = sql<object, Row>(`
  SELECT n.fault_id AS faultId, n.at, p.name AS by, n.words
  FROM faults f JOIN engineer_notes n ON n.fault_id = f.id JOIN people p ON p.id = n.by
  WHERE f.position_id = @positionId AND n.at >= @from AND n.at < @to ORDER BY n.at`)
const stays = sql<
  [string],
  { unitId: string; kind: string; serial: string; fitted: string; removed: string | null }
>(`
    SELECT f.unit_id AS unitId, u.kind, u.serial, f.fitted_at AS fitted, f.removed_at AS removed
    FROM fittings f JOIN units u ON u.id = f.unit_id WHERE f.position_id = ? ORDER BY f.fitted_at, u.kind`)

const healthy = tuples<[string], [string, string | null]>(`
  SELECT j.value, nullif(max(
    coalesce((SELECT max(e.at) FROM visits v JOIN visit_ends e ON e.visit_id = v.id
      WHERE v.position_id = j.value AND e.how = 'healthy'), ''),
    coalesce((SELECT c.at FROM faults f CROSS JOIN closures c ON c.fault_id = f.id
    WHERE f.position_id = j.value AND c.outcome IN ('proven cause', 'probable cause', 'not reproduced')
      AND ${inForce('faults', 'f.id')}
    ORDER BY f.reported_at DESC LIMIT 1), '')), '')
  FROM json_each(?) j`)
// A fault that a round found is told by the round; at one moment it is found before it is put right.
const sightings = tuples<[], [string, string, string, Sighting['what']]>(`
  WITH unseen AS (SELECT id, equipment FROM positions WHERE indicated = 0)
  SELECT p.id, p.equipment, s.at, s.what FROM unseen p JOIN (
    SELECT v.position_id, e.at, CASE e.how WHEN 'healthy' THEN 'working' ELSE 'dead on a round' END AS what, 1 AS rank
    FROM visit_ends e JOIN visits v ON v.id = e.visit_id WHERE e.how IN ('healthy', 'fault found')
    UNION ALL
    SELECT f.position_id, f.reported_at, 'dead between rounds', 2 FROM faults f
    WHERE f.position_id IN (SELECT id FROM unseen) AND NOT EXISTS (SELECT 1 FROM visit_ends e WHERE e.fault_id = f.id)
      AND ${inForce('faults', 'f.id')}
    UNION ALL
    SELECT f.position_id, c.at, 'put right', 3 FROM faults f JOIN closures c ON c.fault_id = f.id
    WHERE f.position_id IN (SELECT id FROM unseen)
      AND c.outcome IN ('proven cause', 'probable cause', 'not reproduced') AND ${inForce('faults', 'f.id')}
  ) s ON s.position_id = p.id ORDER BY p.id, s.at, s.rank`)

export function createHistoryOfPosition({ db }: Writer): HistoryOfPosition {
  return {
    faults: (positionId, window) =>
      faults(db)
        .all({ positionId, ...bounds(window) })
        .flatMap(({ at, closed, cleared, ...row }) => {
          const atMs = timeMs(at)
          return atMs === null
            ? []
            : [{ ...row, atMs, closedMs: timeMs(closed ?? ''), clearedItself: cleared === 1 }]
        }),
    visits: (positionId, window) =>
      visits(db)
        .all({ positionId, ...bounds(window) })
        .flatMap(event),
    work: (positionId, window) =>
      work(db)
        .all({ positionId, ...bounds(window) })
        .flatMap(row => event(row).map(one => ({ ...one, action: row.action, cause: row.cause }))),
    notes: (positionId, window) =>
      notes(db)
        .all({ positionId, ...bounds(window) })
        .flatMap(event),
    stays: positionId =>
      stays(db)
        .all(positionId)
        .map(({ fitted, removed, ...row }) => ({
          ...row,
          fittedMs: timeMs(fitted) ?? oldestMs,
          removedMs: removed === null ? null : timeMs(removed),
        })),
    ...createUnseen(db),
  }
}

function createUnseen(db: Connection): Pick<HistoryOfPosition, 'sightings' | 'lastHealthy'> {
  return {
    sightings: () =>
      sightings(db)
        .all()
        .flatMap(([positionId, equipment, at, what]) => {
          const atMs = timeMs(at)
          return atMs === null ? [] : [{ positionId, equipment, atMs, what }]
        }),
    lastHealthy: ids =>
      new Map(
        healthy(db)
          .all(JSON.stringify(ids))
          .flatMap(([id, at]) => {
            const atMs = timeMs(at ?? '')
            return atMs === null ? [] : [[id, atMs] as const]
          }),
      ),
  }
}

/** None where the text of its time is none. */
function event({ faultId, at, by, words }: Row): PositionEvent[] {
  const atMs = timeMs(at)
  return atMs === null ? [] : [{ faultId, atMs, by, words }]
}
