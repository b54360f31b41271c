// Faults as the lists show them: one line a fault, one query a list.

import { assertNever } from '../../errors.ts'
import type { CheckRef } from '../../knowledge/types.ts'
import { formatReading, type Reading } from '../../measurement/readings/reading.ts'
import type { Closure, Fault, Finding } from '../../walk/record.ts'
import { inForce } from '../engine/in-force.ts'
import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

export interface FaultSummary {
  id: string
  /** The short number said on the phone; none yet where it was reported without signal. */
  number: number | null
  positionId: string
  positionName: string
  siteId: string
  siteName: string
  equipment: string
  tree: string
  symptom: string
  reportedAt: string
  protection: Fault['protection']
  /** Name and id of the person whose attendance is open, or null. */
  attendedBy: string | null
  attendedById: string | null
  closedAt: string | null
  outcome: Closure['outcome'] | null
  /** `equipment/cause` */
  cause: string | null
  clearedItself: boolean
  changed: string | null
  /** Attendance minutes summed; an open attendance counts up to now. */
  minutes: number
  /** Names of those who attended, in order of first attendance. */
  people: string[]
  /** The newest finding in words, where it was found (null for a rejection), and when. */
  lastFinding: string | null
  lastFindingCheck: CheckRef | null
  lastFindingAt: string | null
  /** Faults at the same position within the repeat window before this one. */
  earlierInWindow: number
}

export interface FaultSummaries {
  summary(id: string): FaultSummary | null
  /** Oldest report first. */
  listOpen(): FaultSummary[]
  /** Those the person has in hand, oldest report first. */
  listOpenOf(personId: string): FaultSummary[]
  /** Newest report first, as all lists that follow. */
  listByPosition(positionId: string, limit?: number): FaultSummary[]
  listBySite(siteId: string, limit?: number): FaultSummary[]
  /** Closed as cleared itself or not reproduced, and no engineer's note has settled it. */
  listUnsettled(): FaultSummary[]
  listRecent(limit: number): FaultSummary[]
}

type Row = Omit<FaultSummary, 'clearedItself' | 'people' | 'lastFinding' | 'lastFindingCheck'> & {
  clearedItself: number | null
  people: string
  lastKind: Finding['kind'] | null
  lastText: string | null
  lastReading: string | null
  lastTree: string | null
  lastCheck: string | null
}

const SELECT = `
  SELECT f.id, (SELECT number FROM fault_numbers WHERE fault_id = f.id) AS number,
  f.position_id AS positionId, p.name AS positionName, s.id AS siteId, s.name AS siteName, p.equipment,
  f.tree, f.symptom, f.reported_at AS reportedAt, f.protection, w.name AS attendedBy, w.id AS attendedById,
  c.at AS closedAt, c.outcome, c.cause, c.cleared_itself AS clearedItself, c.changed,
  (SELECT coalesce(round(sum(max(0, julianday(coalesce(t.ended_at, @now)) - julianday(t.started_at))) * 1440), 0)
    FROM attendances t WHERE t.fault_id = f.id) AS minutes,
  (SELECT json_group_array(x.name) FROM
    (SELECT q.name FROM attendances t JOIN people q ON q.id = t.person_id
     WHERE t.fault_id = f.id GROUP BY q.id ORDER BY min(t.seq)) x) AS people,
  l.kind AS lastKind, l.text AS lastText, l.reading AS lastReading, l.tree AS lastTree, l."check" AS lastCheck, l.at AS lastFindingAt,
  (SELECT count(*) FROM faults e WHERE e.position_id = f.position_id AND e.reported_at < f.reported_at
    AND e.reported_at >= strftime('%Y-%m-%dT%H:%M:%fZ', f.reported_at, @window)
    AND ${inForce('faults', 'e.id')}) AS earlierInWindow
  FROM faults f
  JOIN positions p ON p.id = f.position_id
  JOIN sites s ON s.id = p.site_id
  LEFT JOIN attendances a ON a.fault_id = f.id AND a.ended_at IS NULL
  LEFT JOIN people w ON w.id = a.person_id
  LEFT JOIN closures c ON c.fault_id = f.id
  LEFT JOIN findings l ON l.fault_id = f.id AND l.seq = (SELECT max(seq) FROM findings WHERE fault_id = f.id)
  WHERE ${inForce('faults', 'f.id')}`

const one = sql<object, Row>(`${SELECT} AND f.id = @id`)
const isOpen = 'f.id IN (SELECT fault_id FROM open_faults)'
const open = sql<object, Row>(`${SELECT} AND ${isOpen} ORDER BY f.reported_at, f.id`)
const openOf = sql<object, Row>(`${SELECT}
  AND a.person_id = @personId AND ${isOpen} ORDER BY f.reported_at, f.id`)
const byPosition = sql<object, Row>(`${SELECT}
  AND f.position_id = @positionId ORDER BY f.reported_at DESC, f.id LIMIT @limit`)
const bySite = sql<object, Row>(`${SELECT}
  AND p.site_id = @siteId ORDER BY f.reported_at DESC, f.id LIMIT @limit`)
const unsettled = sql<object, Row>(`${SELECT} AND f.id IN (SELECT fault_id FROM doubtful_faults)
  ORDER BY f.reported_at DESC, f.id`)
const recent = sql<object, Row>(`${SELECT} ORDER BY f.reported_at DESC, f.id LIMIT @limit`)

export function createFaultSummaries({ db, moment }: Writer, repeatWindowDays: number): FaultSummaries {
  const given = () => ({ now: moment(), window: `-${repeatWindowDays} days` })
  const all = (query: typeof open, which: object) =>
    query(db)
      .all({ ...given(), ...which })
      .map(summary)

  return {
    summary(id) {
      const row = one(db).get({ ...given(), id })
      return row === undefined ? null : summary(row)
    },
    listOpen: () => all(open, {}),
    listOpenOf: personId => all(openOf, { personId }),
    listByPosition: (positionId, limit = -1) => all(byPosition, { positionId, limit }),
    listBySite: (siteId, limit = -1) => all(bySite, { siteId, limit }),
    listUnsettled: () => all(unsettled, {}),
    listRecent: limit => all(recent, { limit }),
  }
}

function summary({
  people,
  clearedItself,
  lastKind,
  lastText,
  lastReading,
  lastTree,
  lastCheck,
  ...row
}: Row): FaultSummary {
  return {
    ...row,
    clearedItself: clearedItself === 1,
    people: JSON.parse(people) as string[],
    lastFinding: lastKind === null ? null : inWords(lastKind, lastText ?? '', lastReading),
    lastFindingCheck: lastTree === null || lastCheck === null ? null : { tree: lastTree, check: lastCheck },
  }
}

function inWords(kind: Finding['kind'], text: string, reading: string | null): string {
  switch (kind) {
    case 'reading':
      return reading === null ? text : formatReading(JSON.parse(reading) as Reading)
    case 'observation':
      return text
    case 'cannot tell':
      return 'cannot tell'
    case 'departure':
      return 'another check chosen'
    case 'rejection':
      return 'a cause ruled out'
    default:
      return assertNever(kind)
  }
}
