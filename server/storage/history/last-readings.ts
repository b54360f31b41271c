import type { Reading } from '../../measurement/readings/reading.ts'
import type { Verdict } from '../../measurement/verdicts/verdict.ts'
import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

/** A reading of one check as it was judged then, at a fault, a proof or a round. */
export interface LastReading {
  positionId: string
  positionName: string
  at: string
  reading: Reading
  verdict: Verdict
}

export interface LastReadings {
  /** Of one check, newest first; what was corrected is left out. */
  here(positionId: string, tree: string, check: string, limit: number): LastReading[]
  /** The same at the other positions of the same equipment at the same site. */
  atLookAlikes(positionId: string, tree: string, check: string, limit: number): LastReading[]
}

type Row = Omit<LastReading, 'reading' | 'verdict'> & { reading: string; verdict: string }

const SELECT = `
  SELECT r.position_id AS positionId, q.name AS positionName, r.at, coalesce(f.reading, p.reading, v.reading) AS reading,
    coalesce(f.verdict, p.verdict, v.verdict) AS verdict
  FROM positions q JOIN check_readings r ON r.position_id = q.id AND r.tree = @tree AND r."check" = @check
    LEFT JOIN findings f ON f.id = r.id LEFT JOIN proofs p ON p.id = r.id LEFT JOIN visit_findings v ON v.id = r.id`
const here = sql<object, Row>(`${SELECT} WHERE q.id = @positionId ORDER BY r.at DESC LIMIT @limit`)
const beside = sql<object, Row>(`${SELECT}
  WHERE q.id IN (
    SELECT n.id FROM positions n JOIN positions o ON o.site_id = n.site_id AND o.equipment = n.equipment
    WHERE o.id = @positionId AND n.id <> o.id)
  ORDER BY r.at DESC LIMIT @limit`)

export function createLastReadings({ db }: Writer): LastReadings {
  const all = (query: typeof here) => (positionId: string, tree: string, check: string, limit: number) =>
    query(db)
      .all({ positionId, tree, check, limit })
      .filter(row => row.reading && row.verdict)
      .map(row => ({ ...row, reading: JSON.parse(row.reading), verdict: JSON.parse(row.verdict) }))
  return { here: all(here), atLookAlikes: all(beside) }
}
