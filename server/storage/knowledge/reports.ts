// What technicians say about a check from the field, and what the authors answer.

import { AppError } from '../../errors.ts'
import { sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'

export const reportKinds = ['wrong or unclear', 'drawing or label does not match'] as const

export interface ReportAnswer {
  id: string
  reportId: string
  at: string
  by: string
  byName: string
  words: string
  /** When the reporter said they had read it. */
  readAt: string | null
}

export interface FieldReport {
  id: string
  faultId: string
  tree: string
  check: string
  editionId: string
  at: string
  by: string
  byName: string
  kind: (typeof reportKinds)[number]
  words: string
  answers: ReportAnswer[]
}

export type NewFieldReport = Omit<FieldReport, 'at' | 'byName' | 'answers'> & { at?: string }

export interface Reports {
  add(report: NewFieldReport): Written
  /** 'not found' when there is no such report. */
  get(id: string): FieldReport
  /** Newest first; with `tree`, of that tree. */
  list(tree?: string): FieldReport[]
  /** 'not found' when there is no such report. */
  answer(answer: { id: string; reportId: string; by: string; words: string }): Written
  /** Answers to the person's own reports that they have not read yet, oldest first, each with its report. */
  unread(personId: string): { report: FieldReport; answer: ReportAnswer }[]
  /** Only the reporter's own answers; repeated without effect. */
  read(answerId: string, personId: string): void
}

type Row = Omit<FieldReport, 'answers'>

const SELECT = `
  SELECT r.id, r.fault_id AS faultId, r.tree, r."check", r.edition_id AS editionId, r.at, r.by, n.name AS byName, r.kind,
    r.words
  FROM field_reports r JOIN people n ON n.id = r.by`
const one = sql<[string], Row>(`${SELECT} WHERE r.id = ?`)
const all = sql<object, Row>(`${SELECT} WHERE @tree IS NULL OR r.tree = @tree ORDER BY r.at DESC, r.id`)
const ofPerson = sql<[string], Row>(`${SELECT} WHERE r.by = ? ORDER BY r.at, r.id`)
const answers = sql<[string], ReportAnswer>(`
  SELECT a.id, a.report_id AS reportId, a.at, a.by, n.name AS byName, a.words, x.at AS readAt
  FROM report_answers a JOIN people n ON n.id = a.by LEFT JOIN report_receipts x ON x.answer_id = a.id
  WHERE a.report_id = ? ORDER BY a.at, a.id`)
const stored = sql<[string], object>(
  'SELECT fault_id AS faultId, tree, "check", edition_id AS editionId, by, kind, words FROM field_reports WHERE id = ?',
)
const insert = sql(`
  INSERT INTO field_reports (id, fault_id, tree, "check", edition_id, at, by, kind, words)
  VALUES (@id, @faultId, @tree, @check, @editionId, @at, @by, @kind, @words)`)
const storedAnswer = sql<[string], object>(
  'SELECT report_id AS reportId, by, words FROM report_answers WHERE id = ?',
)
const insertAnswer = sql(
  'INSERT INTO report_answers (id, report_id, at, by, words) VALUES (@id, @reportId, @at, @by, @words)',
)
const insertReceipt = sql(`
  INSERT INTO report_receipts (answer_id, at)
  SELECT a.id, @at FROM report_answers a JOIN field_reports r ON r.id = a.report_id
  WHERE a.id = @answerId AND r.by = @personId
    AND NOT EXISTS (SELECT 1 FROM report_receipts x WHERE x.answer_id = a.id)`)

export function createReports({ db, write, moment, once }: Writer): Reports {
  const whole = (row: Row): FieldReport => ({ ...row, answers: answers(db).all(row.id) })

  function get(id: string): FieldReport {
    const row = one(db).get(id)
    if (!row) throw new AppError('not found', 'There is no such report.')
    return whole(row)
  }

  return {
    get,
    add: made =>
      write(() =>
        once(stored(db).get(made.id), made, () => void insert(db).run({ ...made, at: moment(made.at) })),
      ),
    list: tree =>
      all(db)
        .all({ tree: tree ?? null })
        .map(whole),
    answer: made =>
      write(() => {
        get(made.reportId)
        return once(
          storedAnswer(db).get(made.id),
          made,
          () => void insertAnswer(db).run({ ...made, at: moment() }),
        )
      }),
    unread: personId =>
      ofPerson(db)
        .all(personId)
        .flatMap(row => {
          const report = whole(row)
          return report.answers.filter(({ readAt }) => readAt === null).map(answer => ({ report, answer }))
        }),
    read: (answerId, personId) =>
      write(() => void insertReceipt(db).run({ answerId, personId, at: moment() })),
  }
}
