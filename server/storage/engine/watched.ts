// Which tables the trail records, and what it records of a row.

import { sha256 } from '#platform'
import type { Connection } from './sql.ts'

export interface WatchedTable {
  name: string
  /** Those that are recorded, in order of name. */
  columns: string[]
  key: string[]
}

export type Value = string | number | bigint | Uint8Array | null

/** The trail itself, what only a start writes, what follows from rows that are recorded, and what is not in force yet. */
const unrecordedTables = [
  ...['trail', 'migrations', 'sent_forms', 'not_in_force'],
  ...['check_readings', 'open_faults', 'doubtful_faults', 'proved_repairs', 'fault_numbers'],
]
const unrecordedColumns: Record<string, string[]> = {
  sessions: ['seen_at'],
  tablets: ['seen_at', 'clock_ahead_ms'],
}
/** Columns that nobody is shown. */
export const secrets = new Set(['pin_hash', 'password_hash', 'token_hash', 'code_hash'])

/** Every table but a few, so that a new one is recorded without being named here. */
export function watchedTables(db: Connection): WatchedTable[] {
  const tables = db.prepare<[], string>(
    "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY name",
  )
  const columns = db.prepare<[string], { name: string; pk: number }>(
    'SELECT name, pk FROM pragma_table_xinfo(?) WHERE hidden = 0 ORDER BY name',
  )
  return tables
    .pluck()
    .all()
    .filter(name => !unrecordedTables.includes(name))
    .map(name => {
      const all = columns.all(name).filter(column => !unrecordedColumns[name]?.includes(column.name))
      const key = all.filter(({ pk }) => pk > 0).sort((a, b) => a.pk - b.pk)
      return { name, columns: all.map(column => column.name), key: key.map(column => column.name) }
    })
}

/** SHA-256 of a row. Columns without a value are left out, so that one added later changes nothing. */
export function contentOf({ columns }: WatchedTable, values: Value[]): string {
  const content = columns.flatMap((name, index) => (values[index] === null ? [] : [[name, values[index]]]))
  return sha256(JSON.stringify(content))
}

export function keyOf({ columns, key }: WatchedTable, values: Value[]): string {
  const parts = key.map(name => values[columns.indexOf(name)])
  return parts.length === 1 ? String(parts[0]) : JSON.stringify(parts)
}

/** The columns that differ, before and after, as JSON; a secret is named and not shown. */
export function changeOf({ columns }: WatchedTable, before: Value[] | null, after: Value[] | null) {
  const differ = columns.filter((_, index) => before?.[index] !== after?.[index])
  const shown = (values: Value[] | null) =>
    values &&
    JSON.stringify(
      Object.fromEntries(
        differ.map(name => [name, secrets.has(name) ? '(secret)' : values[columns.indexOf(name)]]),
      ),
    )
  return { old: shown(before), new: shown(after) }
}
