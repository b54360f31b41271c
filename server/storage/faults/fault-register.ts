// All faults there ever were, narrowed down: for lists, for CSV, and for what is told of wrong-side failures.

import type { Closure, Fault } from '../../walk/record.ts'
import { inForce } from '../engine/in-force.ts'
import { scalar, sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

export interface FaultFilter {
  /** UTC ISO text; the end is not included. */
  from: string
  to: string
  /** Part of a site's or a position's name, or of a plate; '' for all, as in all that follow. */
  place: string
  /** Slug of the equipment kind. */
  equipment: string
  /** `equipment/cause` */
  cause: string
  /** 'open' for those that are not closed. */
  outcome: Closure['outcome'] | 'open' | ''
  protection: Fault['protection'] | ''
  /** Only those within 30 days of work at the same position. */
  afterWork: boolean
}

export interface RegisteredFault {
  id: string
  reportedAt: string
  positionId: string
  positionName: string
  siteName: string
  equipment: string
  symptom: string
  protection: Fault['protection']
  closedAt: string | null
  outcome: Closure['outcome'] | null
  cause: string | null
  changed: string | null
  delayMinutes: number | null
}

export interface FaultRegister {
  /** Newest report first. */
  find(filter: FaultFilter, page: { limit: number; offset: number }): RegisteredFault[]
  count(filter: FaultFilter): number
}

const WHERE = `
  FROM faults f JOIN positions p ON p.id = f.position_id JOIN sites s ON s.id = p.site_id
    LEFT JOIN closures c ON c.fault_id = f.id
  WHERE f.reported_at >= @from AND f.reported_at < @to AND ${inForce('faults', 'f.id')}
    AND (@place = '' OR s.name || ', ' || p.name LIKE @like ESCAPE '!' OR p.plate LIKE @like ESCAPE '!')
    AND (@equipment = '' OR p.equipment = @equipment)
    AND (@cause = '' OR c.cause = @cause)
    AND (@outcome = '' OR coalesce(c.outcome, 'open') = @outcome)
    AND (@protection = '' OR f.protection = @protection)
    AND (@afterWork = 0 OR EXISTS (SELECT 1 FROM faults e JOIN repairs r ON r.fault_id = e.id
      WHERE e.position_id = f.position_id AND e.id <> f.id AND r.action <> 'nothing changed'
        AND r.at < f.reported_at AND r.at >= strftime('%Y-%m-%dT%H:%M:%fZ', f.reported_at, '-30 days')))`
const rows = sql<object, RegisteredFault>(`
  SELECT f.id, f.reported_at AS reportedAt, f.position_id AS positionId, p.name AS positionName, s.name AS siteName,
    p.equipment, f.symptom, f.protection, c.at AS closedAt, c.outcome, c.cause, c.changed,
    (SELECT d.minutes FROM delays d WHERE d.fault_id = f.id ORDER BY d.seq DESC LIMIT 1) AS delayMinutes
  ${WHERE} ORDER BY f.reported_at DESC, f.id LIMIT @limit OFFSET @offset`)
const counted = scalar<object, number>(`SELECT count(*) ${WHERE}`)

export function createFaultRegister({ db }: Writer): FaultRegister {
  const given = (filter: FaultFilter) => ({
    ...filter,
    like: `%${filter.place.replace(/[!%_]/g, '!$&')}%`,
    afterWork: Number(filter.afterWork),
  })
  return {
    find: (filter, page) => rows(db).all({ ...given(filter), ...page }),
    count: filter => counted(db).get(given(filter)) ?? 0,
  }
}
