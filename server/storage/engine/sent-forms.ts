// Each form that was recorded, so that one sent again is told from other words under the same id.

import { sql } from './sql.ts'
import type { Writer } from './writer.ts'

export interface SentForm {
  id: string
  /** SHA-256 of where it was sent and what it said; hexadecimal. */
  digest: string
  /** Null once it is too old to be sent again. */
  fields: Record<string, string> | null
  /** Where its answer led. */
  next: string
  at: string
}

export interface SentForms {
  /** What was recorded under the form's id, or null. */
  find(id: string): SentForm | null
  /** In the transaction of what the form wrote, so that both are on record or neither is. */
  add(form: Omit<SentForm, 'at'>): void
  /** Forgets what the forms before this moment said; that they were sent stays on record. */
  prune(before: string): void
}

type Row = Omit<SentForm, 'fields'> & { fields: string | null }

const byId = sql<[string], Row>('SELECT id, digest, fields, next, at FROM sent_forms WHERE id = ?')
const insert = sql(
  'INSERT INTO sent_forms (id, digest, fields, next, at) VALUES (@id, @digest, @fields, @next, @at)',
)
const forget = sql<[string]>('UPDATE sent_forms SET fields = NULL WHERE at < ? AND fields IS NOT NULL')

export function createSentForms({ db, write, moment }: Writer): SentForms {
  return {
    find(id) {
      const row = byId(db).get(id)
      return row ? { ...row, fields: row.fields === null ? null : JSON.parse(row.fields) } : null
    },
    add: form =>
      void write(() => insert(db).run({ ...form, fields: JSON.stringify(form.fields), at: moment() })),
    prune: before => void write(() => forget(db).run(before)),
  }
}
