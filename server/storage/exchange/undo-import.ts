// Undoing an import whole, as long as nothing stands on what it brought in. Past faults and days are out of force at once
// and swept away after; of sites, positions and units the trail says what each row was before.

import { memo } from '../../cache.ts'
import { AppError } from '../../errors.ts'
import type { Subject } from '../../exchange/subjects.ts'
import { type Connection, scalar, sql, sqliteCode } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

export interface Undoing {
  importId: string
  subject: Subject
  by: string
  why: string
}

/** The kind of entry that ends what an import wrote at one moment; it begins with the row of the import itself. */
export const importWritten = 'import written'

interface Entry {
  seq: number
  what: 'added' | 'changed' | 'removed'
  subject: string
  key: string
  old: string | null
}

const undone = sql('INSERT INTO undone_imports (import_id, at, by, why) VALUES (@importId, @at, @by, @why)')
const bounds = sql<object, { first: number; last: number }>(`
  SELECT i.seq AS first, e.seq AS last
  FROM trail i JOIN trail e ON e.subject = '${importWritten}' AND e.key = i.key AND e.what = 'happened'
  WHERE i.subject = 'imports' AND i.key = @importId AND i.what = 'added'`)
const written = sql<object, Entry>(`
  SELECT seq, what, subject, key, old FROM trail
  WHERE seq > @first AND seq < @last ORDER BY seq DESC`)
const changedSince = sql<object>(`
  SELECT 1 FROM trail WHERE subject = @subject AND key = @key AND seq > @last AND what <> 'happened'`)
const nameFaults = sql<[string]>(`
  INSERT INTO not_in_force (subject, key) SELECT 'faults', fault_id FROM imported_faults WHERE import_id = ?`)
const nameDays = sql<[string]>(`
  INSERT INTO not_in_force (subject, key) SELECT 'daily_temperatures', day FROM daily_temperatures WHERE import_id = ?`)
const pointing = sql<[], { name: string; column: string }>(`
  SELECT m.name, f."from" AS column FROM sqlite_schema m JOIN pragma_foreign_key_list(m.name) f
  WHERE m.type = 'table' AND f."table" = 'faults'`)
const isNamed = scalar<[], number>('SELECT 1 FROM not_in_force LIMIT 1')

/** What an import writes of a fault itself, and what is kept beside it by triggers. */
const ofImport = new Set([
  'conditions',
  'closures',
  'imported_faults',
  'open_faults',
  'doubtful_faults',
  'fault_numbers',
])

/**
 * Undoes an import in one commit; of past faults and days what is left of the rows is then swept (`sweep`). 'conflict'
 * when something stands on it, when a row was changed since, or while another import is under way.
 */
export function createUndo({ db, write, moment, trail }: Writer): (undoing: Undoing) => void {
  return undoing =>
    write(() => {
      if (isNamed(db).get())
        throw new AppError('conflict', 'Another file is under way. Wait until that is done.')
      undone(db).run({ importId: undoing.importId, by: undoing.by, why: undoing.why, at: moment() })
      if (undoing.subject === 'past faults') {
        mustStandAlone(db, undoing.importId)
        nameFaults(db).run(undoing.importId)
      } else if (undoing.subject === 'temperatures') nameDays(db).run(undoing.importId)
      else takeBack(db, undoing.importId)
      trail.putInForce()
    })
}

function mustStandAlone(db: Connection, importId: string): void {
  for (const { name, column } of pointing(db).all()) {
    if (ofImport.has(name)) continue
    const stands = db
      .prepare(
        `SELECT 1 FROM "${name}" x JOIN imported_faults i ON i.fault_id = x."${column}" WHERE i.import_id = ?`,
      )
      .get(importId)
    if (stands)
      throw new AppError(
        'conflict',
        `Something was recorded since at a fault that it brought in (${name.replaceAll('_', ' ')}). It can’t be undone any more.`,
      )
  }
}

/** Each row as it was before the import, the last that was written first. */
function takeBack(db: Connection, importId: string): void {
  const range = bounds(db).get({ importId })
  if (!range)
    throw new AppError(
      'conflict',
      'An older version of the program brought this in: it does not know what each row was before.',
    )
  const entries = written(db).all(range)
  for (const { subject, key } of entries)
    if (changedSince(db).get({ subject, key, last: range.last }))
      throw new AppError(
        'conflict',
        `A row that it brought in (${subject.replaceAll('_', ' ')}) was changed since. It can’t be undone any more.`,
      )
  try {
    for (const entry of entries) takeBackRow(db, entry)
  } catch (error) {
    if (!String(sqliteCode(error)).startsWith('SQLITE_CONSTRAINT')) throw error
    throw new AppError(
      'conflict',
      'Something stands on what it brought in: positions at its sites, units or faults at its positions. It can’t be undone any more.',
    )
  }
}

function takeBackRow(db: Connection, { what, subject, key, old }: Entry): void {
  const keys = keyColumns(db)(subject)
  const values = keys.length === 1 ? [key] : (JSON.parse(key) as string[])
  const where = keys.map(name => `"${name}" = ?`).join(' AND ')
  if (what === 'added') {
    db.prepare(`DELETE FROM "${subject}" WHERE ${where}`).run(...values)
    return
  }
  const before = Object.entries(JSON.parse(old ?? '{}') as Record<string, string | number | null>)
  const set = before.map(([name]) => `"${name}" = ?`).join(', ')
  db.prepare(`UPDATE "${subject}" SET ${set} WHERE ${where}`).run(
    ...before.map(([, value]) => value),
    ...values,
  )
}

const keyColumns = memo((db: Connection) => {
  const known = new Map<string, string[]>()
  const query = db
    .prepare<[string], string>('SELECT name FROM pragma_table_xinfo(?) WHERE pk > 0 ORDER BY pk')
    .pluck()
  return (table: string): string[] => {
    const columns = known.get(table) ?? query.all(table)
    known.set(table, columns)
    return columns
  }
})
