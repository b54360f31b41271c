// What a tablet carries of the depot's tables, to show the technician's pages where there is no signal.

import { type Connection, inTransaction, sql } from '../engine/sql.ts'
import { secrets } from '../engine/watched.ts'
import type { Writer } from '../engine/writer.ts'

type Value = string | number | bigint | Uint8Array | null

/** The rows of one table, column by column: so they pack best. */
export interface CopiedTable {
  name: string
  columns: string[]
  values: Value[][]
}

export interface TabletCopies {
  /** How many rows a copy would hold of what grows with the years. */
  size(): number
  /** All tables that a tablet carries, as they stand at one moment. */
  read(): CopiedTable[]
}

/** The depot's alone: the trail, who is signed in, what authors write at, and what follows from other rows. */
const notCarried = new Set([
  ...['trail', 'migrations', 'sessions', 'setup_codes', 'sent_forms', 'edition_files'],
  ...['drafts', 'draft_texts', 'proposals', 'proposal_files', 'proposal_writers', 'decisions'],
  ...['imports', 'imported_faults'],
])

const tableNames = sql<[], { name: string }>(
  "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY name",
)
const columnsOf = sql<[string], { name: string }>(
  'SELECT name FROM pragma_table_xinfo(?) WHERE hidden = 0 ORDER BY cid',
)
const growing = sql<[], { count: number }>(
  'SELECT (SELECT count(*) FROM check_readings) + (SELECT count(*) FROM findings) AS count',
)

export function createTabletCopies({ db }: Writer): TabletCopies {
  return {
    size: () => growing(db).get()?.count ?? 0,
    read: () =>
      inTransaction(db)(() =>
        tableNames(db)
          .all()
          .filter(({ name }) => !notCarried.has(name))
          .map(({ name }) => readTable(db, name)),
      ) as CopiedTable[],
  }
}

function readTable(db: Connection, name: string): CopiedTable {
  const columns = columnsOf(db)
    .all(name)
    .map(column => column.name)
  // A hash of a PIN, a password or a token never leaves the depot; what takes its place opens nothing.
  const shown = columns.map(column =>
    secrets.has(column) ? `iif("${column}" IS NULL, NULL, 'not carried ' || id)` : `"${column}"`,
  )
  const rows = db
    .prepare<[], Value[]>(`SELECT ${shown.join(', ')} FROM "${name}"`)
    .raw()
    .all()
  return { name, columns, values: columns.map((_, at) => rows.map(row => row[at] ?? null)) }
}

/**
 * Fills an empty database of this schema. The connection's triggers must be off: they would refuse rows that were right
 * when they were written. Throws when a row points at nothing.
 */
export function loadCopy(db: Connection, tables: CopiedTable[]): void {
  db.pragma('foreign_keys = OFF')
  db.transaction(() => {
    for (const table of tables) loadTable(db, table)
  })()
  db.pragma('foreign_keys = ON')
}

function loadTable(db: Connection, { name, columns, values }: CopiedTable): void {
  const places = columns.map(() => '?').join(', ')
  const names = columns.map(column => `"${column}"`).join(', ')
  const insert = db.prepare(`INSERT INTO "${name}" (${names}) VALUES (${places})`)
  const count = values[0]?.length ?? 0
  for (let at = 0; at < count; at += 1) insert.run(...values.map(column => column[at] ?? null))
}
