// Maintenance visits: a round walked at a position, with what was found, put back and how it ended. A visit is no fault.

import { AppError } from '../../errors.ts'
import type { Finding, Restoration } from '../../walk/record.ts'
import { type Connection, nextSeq, sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'
import { type FindingRow, finding, readingColumns } from '../faults/findings.ts'
import { createVisitsDue, type HowEnded, type VisitsDue } from './visits-due.ts'

export interface Visit {
  id: string
  positionId: string
  /** Slug of a tree of the kind `round`. */
  tree: string
  editionId: string
  at: string
  by: string
  byName: string
  /** The code as read off the equipment. */
  plate: string
}

export type VisitFinding = Extract<Finding, { kind: 'reading' | 'observation' | 'cannot tell' }>
export interface VisitEnd {
  id: string
  at: string
  by: string
  byName: string
  how: HowEnded
  words: string
  /** The id that the fault found has once it is reported; null unless one was found. */
  faultId: string | null
}

export interface VisitRecord {
  visit: Visit
  /** In order of arrival; `attendanceId` is the visit's id. */
  findings: Finding[]
  restorations: Restoration[]
  end: VisitEnd | null
}

type Without<T, K extends string> = T extends unknown ? Omit<T, K> : never
export type NewVisitFinding = Without<VisitFinding, 'byName' | 'seq' | 'at' | 'attendanceId'> & {
  visitId: string
  at?: string
}
export type NewVisit = Omit<Visit, 'at' | 'byName'> & { at?: string }
export type NewVisitEnd = Omit<VisitEnd, 'at' | 'byName'> & {
  visitId: string
  at?: string
  /** What was still disturbed, each answered. */
  restorations: { id: string; itemKey: string; how: Restoration['how'] }[]
}

export type Visits = VisitsDue & {
  start(visit: NewVisit): Written
  /** 'not found' when there is no such visit. */
  get(id: string): VisitRecord
  /** 'conflict' when the visit has ended or is another person's, and when it corrects what was corrected already. */
  addFinding(finding: NewVisitFinding): Written
  /** All or nothing; 'conflict' as for a finding. */
  end(end: NewVisitEnd): Written
}

const storedVisit = sql<[string], object>(`
  SELECT position_id AS positionId, tree, by, plate FROM visits WHERE id = ?`)
const insertVisit = sql(`
  INSERT INTO visits (id, position_id, tree, edition_id, at, by, plate)
  VALUES (@id, @positionId, @tree, @editionId, @at, @by, @plate)`)
const storedFinding = sql<[string], object>(`
  SELECT visit_id AS visitId, by, kind, tree, "check", text, reading, chosen_row AS chosenRow, reason, note, instrument,
    taken, replaces
  FROM visit_findings WHERE id = ?`)
const insertFinding = sql(`
  INSERT INTO visit_findings (id, visit_id, seq, at, by, kind, tree, "check", text, reading, range, verdict, value, unit,
    taken, chosen_row, reason, note, instrument, replaces)
  VALUES (@id, @visitId, ${nextSeq('visit_findings', 'visit_id', '@visitId')}, @at, @by, @kind,
    @tree, @check, @text, @reading, @range, @verdict, @value, @unit, @taken, @chosenRow, @reason, @note, @instrument,
    @replaces)`)
const corrected = sql<[string]>('SELECT 1 FROM visit_findings WHERE replaces = ?')
const storedEnd = sql<[string], object>(
  'SELECT visit_id AS visitId, by, how, words FROM visit_ends WHERE id = ?',
)
const insertRestoration = sql(`
  INSERT INTO visit_restorations (id, visit_id, seq, at, by, item_key, how)
  VALUES (@id, @visitId, ${nextSeq('visit_restorations', 'visit_id', '@visitId')}, @at, @by,
    @itemKey, @how)`)
const insertEnd = sql(`
  INSERT INTO visit_ends (id, visit_id, at, by, how, words, fault_id)
  VALUES (@id, @visitId, @at, @by, @how, @words, @faultId)`)
const inHand = sql<[string], { by: string; ended: number }>(`
  SELECT by, EXISTS (SELECT 1 FROM visit_ends e WHERE e.visit_id = v.id) AS ended FROM visits v WHERE id = ?`)

export function createVisits(writer: Writer): Visits {
  const { db, write, moment, once } = writer

  function addFinding(made: NewVisitFinding): Written {
    const row = findingRow(made)
    return write(() =>
      once(storedFinding(db).get(made.id), row, () => {
        mustBeInHand(db, made)
        if (made.replaces && corrected(db).get(made.replaces))
          throw new AppError('conflict', 'This finding has been corrected already. Correct the newer one.')
        insertFinding(db).run({ ...row, at: moment(made.at) })
      }),
    )
  }

  function end({ restorations, ...made }: NewVisitEnd): Written {
    return write(() =>
      once(storedEnd(db).get(made.id), made, () => {
        mustBeInHand(db, made)
        const at = moment(made.at)
        for (const one of restorations)
          insertRestoration(db).run({ ...one, visitId: made.visitId, by: made.by, at })
        insertEnd(db).run({ ...made, at })
      }),
    )
  }

  return {
    ...createVisitsDue(writer),
    start: visit =>
      write(() =>
        once(storedVisit(db).get(visit.id), visit, () => {
          insertVisit(db).run({ ...visit, at: moment(visit.at) })
        }),
      ),
    get: createVisitRecord(db),
    addFinding,
    end,
  }
}

function mustBeInHand(db: Connection, { visitId, by }: { visitId: string; by: string }): void {
  const visit = inHand(db).get(visitId)
  if (!visit) throw new AppError('not found', 'There is no such visit.')
  if (visit.ended) throw new AppError('conflict', 'This visit has ended. Nothing can be added to it.')
  if (visit.by !== by) throw new AppError('conflict', 'This visit is another person’s. Begin your own.')
}

const visit = sql<[string], Visit>(`
  SELECT v.id, v.position_id AS positionId, v.tree, v.edition_id AS editionId, v.at, v.by, p.name AS byName, v.plate
  FROM visits v JOIN people p ON p.id = v.by WHERE v.id = ?`)
const findings = sql<[string], FindingRow>(`
  SELECT f.id, f.visit_id AS attendanceId, f.seq, f.at, f.by, p.name AS byName, f.kind, f.tree, f."check", f.text,
    f.reading, f.range, f.verdict, f.chosen_row AS chosenRow, f.reason, f.note, f.instrument, f.taken, 0 AS flag, f.replaces
  FROM visit_findings f JOIN people p ON p.id = f.by WHERE f.visit_id = ? ORDER BY f.seq`)
const restorations = sql<[string], Restoration>(`
  SELECT r.id, r.visit_id AS attendanceId, r.at, r.by, p.name AS byName, r.item_key AS itemKey, r.how, NULL AS note
  FROM visit_restorations r JOIN people p ON p.id = r.by WHERE r.visit_id = ? ORDER BY r.seq`)
const end = sql<[string], VisitEnd>(`
  SELECT e.id, e.at, e.by, p.name AS byName, e.how, e.words, e.fault_id AS faultId
  FROM visit_ends e JOIN people p ON p.id = e.by WHERE e.visit_id = ?`)

function createVisitRecord(db: Connection): (id: string) => VisitRecord {
  return id => {
    const row = visit(db).get(id)
    if (!row) throw new AppError('not found', 'There is no such visit.')
    return {
      visit: row,
      findings: findings(db).all(id).map(finding),
      restorations: restorations(db).all(id),
      end: end(db).get(id) ?? null,
    }
  }
}

const noReading = { reading: null, range: null, verdict: null, value: null, unit: null }

function findingRow(made: NewVisitFinding): { visitId: string } & Record<string, unknown> {
  const { id, visitId, by, kind, check, chosenRow, reason, note, replaces } = made
  const base = { id, visitId, by, kind, ...check, chosenRow, reason, note, replaces }
  const bare = { ...base, ...noReading, text: null, instrument: null, taken: null }
  if (made.kind === 'reading') return { ...bare, ...readingColumns(made), text: made.text }
  return made.kind === 'observation' ? { ...bare, text: made.word } : bare
}
