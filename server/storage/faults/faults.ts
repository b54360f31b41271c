import { AppError } from '../../errors.ts'
import type {
  Attendance,
  Closure,
  Disturbance,
  Fault,
  FaultRecord,
  Handover,
  HoldRelease,
  IdentityCheck,
  Restoration,
  Signature,
} from '../../walk/record.ts'
import { inForce } from '../engine/in-force.ts'
import { createRowCache } from '../engine/row-cache.ts'
import { type Connection, scalar, sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'
import { createFaultSummaries, type FaultSummaries, type FaultSummary } from './fault-summaries.ts'
import { type FindingRow, finding } from './findings.ts'
import { type ProofRow, proof } from './proofs.ts'
import { type RepairRow, repair } from './repairs.ts'

export type { FaultSummary }

export type NewFault = Omit<Fault, 'number'> & {
  conditions: { name: string; value: string }[]
  recordedAt?: string
}

export type Faults = Omit<FaultSummaries, 'summary'> & {
  create(fault: NewFault): Written
  /** 'not found' when there is no such fault. */
  get(id: string): FaultRecord
  /** 'not found' when there is no such fault. */
  summary(id: string): FaultSummary
  /** Faults at the position in the `windowDays` before `reportedAt`. */
  countEarlier(positionId: string, reportedAt: string, windowDays: number): number
}

/** What a record is read from that bears no fault's id: it may be in any of them. */
const inAnyRecord = new Set(['people', 'handover_items', 'handover_confirmations', 'handover_withdrawals'])

const stored = sql<[string], object>(`
  SELECT f.position_id AS positionId, f.tree, f.symptom, f.reported_at AS reportedAt, f.reported_by AS reportedBy,
    f.recorded_by AS recordedBy, f.noticed, f.protection, f.intermittent,
    (SELECT json_group_array(json_array(c.name, c.value)) FROM
      (SELECT name, value FROM conditions WHERE fault_id = f.id ORDER BY name) c) AS list
  FROM faults f WHERE f.id = ?`)
const insert = sql(`
  INSERT INTO faults (id, position_id, tree, edition_id, symptom, reported_at, reported_by, recorded_by, recorded_at,
    noticed, protection, intermittent)
  VALUES (@id, @positionId, @tree, @editionId, @symptom, @reportedAt, @reportedBy, @recordedBy, @recordedAt, @noticed,
    @protection, @intermittent)`)
const insertCondition = sql('INSERT INTO conditions (fault_id, name, value) VALUES (@faultId, @name, @value)')
const earlier = scalar<object, number>(`
  SELECT count(*) FROM faults
  WHERE position_id = @positionId AND reported_at < @reportedAt
    AND reported_at >= strftime('%Y-%m-%dT%H:%M:%fZ', @reportedAt, @window) AND ${inForce('faults', 'id')}`)

export function createFaults(writer: Writer, repeatWindowDays: number): Faults {
  const { db, write, moment, once } = writer
  const summaries = createFaultSummaries(writer, repeatWindowDays)

  function create({ conditions, recordedAt, ...made }: NewFault): Written {
    const sorted = conditions.toSorted((a, b) => (a.name < b.name ? -1 : 1))
    const list = JSON.stringify(sorted.map(({ name, value }) => [name, value]))
    const row = {
      ...made,
      intermittent: Number(made.intermittent),
      reportedAt: moment(made.reportedAt),
      list,
    }
    return write(() =>
      once(stored(db).get(made.id), row, () => {
        insert(db).run({ ...row, recordedAt: moment(recordedAt) })
        for (const condition of conditions) insertCondition(db).run({ faultId: made.id, ...condition })
      }),
    )
  }

  const cache = createRowCache<FaultRecord>(db, writer.trail, {
    maxEntries: 1000,
    read: createFaultRecord(db),
    invalidates: ({ table, faultId }) => faultId ?? (inAnyRecord.has(table) ? 'all' : null),
  })

  return {
    ...summaries,
    create,
    get: cache.get,
    summary(id) {
      const summary = summaries.summary(id)
      if (summary === null) throw new AppError('not found', 'There is no such fault.')
      return summary
    },
    countEarlier: (positionId, reportedAt, windowDays) =>
      earlier(db).get({ positionId, reportedAt: moment(reportedAt), window: `-${windowDays} days` }) ?? 0,
  }
}

type Flat<T, K extends keyof T> = Omit<T, K> & Record<K, number>

const fault = sql<[string], Flat<Fault, 'intermittent'>>(`
  SELECT id, position_id AS positionId, tree, edition_id AS editionId, symptom, reported_at AS reportedAt,
    reported_by AS reportedBy, recorded_by AS recordedBy, noticed, protection, intermittent,
    (SELECT number FROM fault_numbers WHERE fault_id = faults.id) AS number
  FROM faults WHERE id = ? AND ${inForce('faults', 'id')}`)
const conditions = sql<[string], { name: string; value: string }>(
  'SELECT name, value FROM conditions WHERE fault_id = ? ORDER BY name',
)
const attendances = sql<[string], Attendance>(`
  SELECT a.id, a.fault_id AS faultId, a.person_id AS personId, p.name AS personName, a.started_at AS startedAt,
    a.seen_history_at AS seenHistoryAt, a.spoken_to AS spokenTo, a.protection_words AS protectionWords,
    a.isolation_words AS isolationWords, a.expected_finish AS expectedFinish, a.ended_at AS endedAt,
    a.ended_how AS endedHow, a.ended_words AS endedWords
  FROM attendances a JOIN people p ON p.id = a.person_id WHERE a.fault_id = ? ORDER BY a.seq`)
/**
 * The order of a fault's entries: as they arrived, so that a clock set back changes nothing; and where acts of a tablet
 * came late, as they were done.
 */
function inOrder(table: string): string {
  const late = `EXISTS (SELECT 1 FROM late_acts l WHERE l.fault_id = ${table}.fault_id)`
  return `ORDER BY CASE WHEN ${late} THEN ${table}.at END, CASE WHEN ${late} THEN ${table}.attendance_id END, ${table}.seq`
}

const findings = sql<[string], FindingRow>(`
  SELECT f.id, f.attendance_id AS attendanceId, f.seq, f.at, f.by, p.name AS byName, f.kind, f.tree, f."check", f.text,
    f.reading, f.range, f.verdict, f.chosen_row AS chosenRow, f.reason, f.note, f.instrument, f.taken, f.flag,
    f.replaces
  FROM findings f JOIN people p ON p.id = f.by WHERE f.fault_id = ? ${inOrder('f')}`)
const disturbances = sql<[string], Disturbance>(`
  SELECT d.id, d.attendance_id AS attendanceId, d.at, d.by, p.name AS byName, d.item
  FROM disturbances d JOIN people p ON p.id = d.by WHERE d.fault_id = ? ${inOrder('d')}`)
const restorations = sql<[string], Restoration>(`
  SELECT r.id, r.attendance_id AS attendanceId, r.at, r.by, p.name AS byName, r.item_key AS itemKey, r.how, r.note
  FROM restorations r JOIN people p ON p.id = r.by WHERE r.fault_id = ? ${inOrder('r')}`)
const repairs = sql<[string], RepairRow>(`
  SELECT r.id, r.attendance_id AS attendanceId, r.at, r.by, p.name AS byName, r.cause, r.action, r.words, r.swap, r.fuse,
    o.name AS overrideName
  FROM repairs r JOIN people p ON p.id = r.by LEFT JOIN people o ON o.id = r.override_by
  WHERE r.fault_id = ? ${inOrder('r')}`)
const proofs = sql<[string], ProofRow>(`
  SELECT r.id, r.attendance_id AS attendanceId, r.at, r.by, p.name AS byName, r.kind, r.cause, r.round, r.passed,
    r.tree, r."check", r.text, r.reading, r.range, r.verdict, r.instrument, r.taken, r.reason
  FROM proofs r JOIN people p ON p.id = r.by WHERE r.fault_id = ? ${inOrder('r')}`)
const identities = sql<[string], Flat<IdentityCheck, 'matched'>>(`
  SELECT i.id, i.attendance_id AS attendanceId, i.at, i.by, p.name AS byName, i.typed, i.matched
  FROM identities i JOIN people p ON p.id = i.by WHERE i.fault_id = ? ${inOrder('i')}`)
const holdReleases = sql<[string], HoldRelease>(`
  SELECT h.id, h.at, h.by, p.name AS byName, h.reason
  FROM hold_releases h JOIN people p ON p.id = h.by WHERE h.fault_id = ? ORDER BY h.seq`)
const handovers = sql<[string], Omit<Handover, 'items'>>(`
  SELECT h.id, h.attendance_id AS attendanceId, h.at, h.by, p.name AS byName, h.next_step AS nextStep, h.words,
    a.started_at AS acceptedAt, a.person_id AS acceptedBy, w.at AS withdrawnAt
  FROM handovers h JOIN people p ON p.id = h.by LEFT JOIN attendances a ON a.handover_id = h.id
    LEFT JOIN handover_withdrawals w ON w.handover_id = h.id
  WHERE h.fault_id = ? ORDER BY h.seq`)
const items = sql<[string], Handover['items'][number] & { handoverId: string }>(`
  SELECT i.handover_id AS handoverId, i.key, i.text, c.at AS confirmedAt
  FROM handovers h JOIN handover_items i ON i.handover_id = h.id
    LEFT JOIN handover_confirmations c ON c.handover_id = i.handover_id AND c.key = i.key
  WHERE h.fault_id = ? ORDER BY h.seq, i.place`)
type StoredClosure = Flat<Omit<Closure, 'told' | 'testsAfterWork'>, 'clearedItself'> & {
  told: string | null
  testsAfterWork: string | null
}
const closure = sql<[string], StoredClosure>(`
  SELECT c.id, c.attendance_id AS attendanceId, c.at, c.by, p.name AS byName, c.outcome, c.cause,
    c.cleared_itself AS clearedItself, c.changed, c.words, c.told, c.tests_after_work AS testsAfterWork
  FROM closures c JOIN people p ON p.id = c.by WHERE c.fault_id = ?`)
const signatures = sql<[string], Omit<Signature, 'unseen'> & { unseen: string | null }>(`
  SELECT id, at, by, printed_name AS printedName, meaning, content_hash AS contentHash, unseen
  FROM signatures WHERE fault_id = ? ORDER BY seq`)

/** Gives a function from a fault's id to its record; it throws 'not found' when there is no such fault. */
export function createFaultRecord(db: Connection): (id: string) => FaultRecord {
  const read = db.transaction((id: string): FaultRecord => {
    const row = fault(db).get(id)
    if (row === undefined) throw new AppError('not found', 'There is no such fault.')
    const closed = closure(db).get(id)
    return {
      fault: { ...row, intermittent: row.intermittent === 1 },
      conditions: conditions(db).all(id),
      attendances: attendances(db).all(id),
      findings: findings(db).all(id).map(numbered).map(finding),
      disturbances: disturbances(db).all(id),
      restorations: restorations(db).all(id),
      repairs: repairs(db).all(id).map(repair),
      proofs: proofs(db).all(id).map(proof),
      identities: identities(db)
        .all(id)
        .map(row => ({ ...row, matched: row.matched === 1 })),
      holdReleases: holdReleases(db).all(id),
      handovers: withItems(handovers(db).all(id), items(db).all(id)),
      closure: closed === undefined ? null : closureOf(closed),
      signatures: signatures(db)
        .all(id)
        .map(row => ({ ...row, unseen: JSON.parse(row.unseen ?? '[]') })),
    }
  })
  return id => read(id)
}

function closureOf({ told, testsAfterWork, ...closed }: StoredClosure): Closure {
  return {
    ...closed,
    clearedItself: closed.clearedItself === 1,
    told: told === null ? null : JSON.parse(told),
    ...(testsAfterWork !== null && { testsAfterWork: JSON.parse(testsAfterWork) }),
  }
}

/** By its place in the record, which is not that of arrival where acts of a tablet came late. */
function numbered(row: FindingRow, at: number): FindingRow {
  row.seq = at + 1
  return row
}

function withItems(
  handovers: Omit<Handover, 'items'>[],
  items: (Handover['items'][number] & { handoverId: string })[],
): Handover[] {
  return handovers.map(handover => ({
    ...handover,
    items: items
      .filter(({ handoverId }) => handoverId === handover.id)
      .map(({ key, text, confirmedAt }) => ({ key, text, confirmedAt })),
  }))
}
