// What the record's quality is judged by: faults as they were entered, and readings with what they were taken with.

import type { RecordedFault } from '../../history/data-quality.ts'
import { timeMs } from '../../times.ts'
import { inForce } from '../engine/in-force.ts'
import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

export type QualityFault = RecordedFault & {
  positionName: string
  siteName: string
  outcome: string | null
  /** Came in from a spreadsheet; `closedKnown` false: its file did not say when it was put right. */
  imported: boolean
  closedKnown: boolean
}

export interface ReadingQuality {
  readings: number
  withoutInstrument: number
  outOfDate: number
}

export interface OutOfDate {
  at: string
  text: string
  tree: string
  check: string
  instrument: string
  due: string | null
  /** A fault or a visit. */
  href: string
}

export interface Quality {
  /** Reported from `from` up to `to` (UTC ISO text, not included), in order of time. */
  faults(from: string, to: string): Generator<QualityFault>
  readings(from: string, to: string): ReadingQuality
  /** Newest first. */
  listOutOfDate(from: string, to: string, limit: number): OutOfDate[]
}

interface Row {
  id: string
  positionId: string
  symptom: string
  reportedAt: string
  recordedAt: string
  positionName: string
  siteName: string
  closedAt: string | null
  outcome: string | null
  cause: string | null
  words: string | null
  changed: string | null
  imported: number
  closedKnown: number | null
}

// Each reading with the newest calibration then on record.
const READINGS = `
  SELECT m.at, m.text, m.tree, m."check", m.instrument, m.href,
  (SELECT c.due FROM calibrations c WHERE c.instrument_id = m.instrument AND c.recorded_at <= m.at
    ORDER BY c.recorded_at DESC, c.id LIMIT 1) AS due
  FROM (
  SELECT at, text, tree, "check", instrument, '/faults/' || fault_id AS href FROM findings WHERE kind = 'reading'
    AND at >= @from AND at < @to
  UNION ALL
  SELECT at, text, tree, "check", instrument, '/faults/' || fault_id FROM proofs WHERE kind = 'reading'
    AND at >= @from AND at < @to
  UNION ALL
  SELECT at, text, tree, "check", instrument, '/rounds/' || visit_id FROM visit_findings WHERE kind = 'reading'
    AND at >= @from AND at < @to
  ) m`

const faults = sql<object, Row>(`
  SELECT f.id, f.position_id AS positionId, f.tree AS symptom, f.reported_at AS reportedAt, f.recorded_at AS recordedAt,
    p.name AS positionName, s.name AS siteName, c.at AS closedAt, c.outcome, c.cause, c.words, c.changed,
    i.fault_id IS NOT NULL AS imported, i.closed_known AS closedKnown
  FROM faults f JOIN positions p ON p.id = f.position_id JOIN sites s ON s.id = p.site_id
    LEFT JOIN closures c ON c.fault_id = f.id LEFT JOIN imported_faults i ON i.fault_id = f.id
  WHERE f.reported_at >= @from AND f.reported_at < @to AND ${inForce('faults', 'f.id')}
  ORDER BY f.reported_at, f.position_id`)
const isLate = '(r.instrument IS NOT NULL AND (r.due IS NULL OR r.due < substr(r.at, 1, 10)))'
const counts = sql<object, ReadingQuality>(`
  SELECT count(*) AS readings, coalesce(sum(r.instrument IS NULL), 0) AS withoutInstrument,
    coalesce(sum(${isLate}), 0) AS outOfDate
  FROM (${READINGS}) r`)
const late = sql<object, OutOfDate>(`
  SELECT r.at, r.text, r.tree, r."check", r.due, r.href, i.kind || ' ' || i.serial AS instrument
  FROM (${READINGS}) r JOIN instruments i ON i.id = r.instrument
  WHERE ${isLate} ORDER BY r.at DESC LIMIT @limit`)

export function createQuality({ db }: Writer): Quality {
  return {
    *faults(from, to) {
      for (const row of faults(db).iterate({ from, to })) yield fault(row)
    },
    readings: (from, to) =>
      counts(db).get({ from, to }) ?? { readings: 0, withoutInstrument: 0, outOfDate: 0 },
    listOutOfDate: (from, to, limit) => late(db).all({ from, to, limit }),
  }
}

function fault(row: Row): QualityFault {
  const { id, positionId, symptom, positionName, siteName, outcome, cause } = row
  const imported = row.imported === 1
  const reportedMs = timeMs(row.reportedAt) ?? Number.NaN
  const freeText = [row.words, row.changed].some(text => (text ?? '').trim() !== '')
  return {
    id,
    positionId,
    symptom,
    positionName,
    siteName,
    outcome,
    cause,
    freeText,
    imported,
    reportedMs,
    positionKnown: true,
    // A fault of the past is entered when its file comes in: that is no late entry.
    recordedMs: imported ? reportedMs : (timeMs(row.recordedAt) ?? reportedMs),
    closedMs: row.closedAt === null ? null : timeMs(row.closedAt),
    closedKnown: row.closedKnown !== 0,
    // Where nothing was found, no cause is missing.
    open: row.closedAt === null || outcome === 'not reproduced',
  }
}
