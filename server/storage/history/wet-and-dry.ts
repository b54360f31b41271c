import type { Reading } from '../../measurement/readings/reading.ts'
import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

/** An insulation reading of which it was said whether it was wet or dry. */
export interface WetOrDryReading {
  faultId: string
  tree: string
  check: string
  at: string
  wetOrDry: 'dry' | 'wet'
  reading: Reading
}

export interface WetAndDry {
  /** Newest first; what was corrected is left out. */
  listByPosition(positionId: string, limit: number): WetOrDryReading[]
}

type Row = Omit<WetOrDryReading, 'reading'> & { reading: string }

const list = sql<object, Row>(`
  SELECT r.fault_id AS faultId, r.tree, r."check", r.at, json_extract(r.taken, '$.wetOrDry') AS wetOrDry, r.reading
  FROM (
    SELECT n.fault_id, n.tree, n."check", n.at, n.taken, n.reading FROM findings n
    WHERE n.taken IS NOT NULL AND NOT EXISTS (SELECT 1 FROM findings c WHERE c.replaces = n.id)
    UNION ALL
    SELECT fault_id, tree, "check", at, taken, reading FROM proofs WHERE taken IS NOT NULL
  ) r
  JOIN faults f ON f.id = r.fault_id
  WHERE f.position_id = @positionId AND wetOrDry IS NOT NULL
  ORDER BY r.at DESC LIMIT @limit`)

export function createWetAndDry({ db }: Writer): WetAndDry {
  return {
    listByPosition: (positionId, limit) =>
      list(db)
        .all({ positionId, limit })
        .map(row => ({ ...row, reading: JSON.parse(row.reading) as Reading })),
  }
}
