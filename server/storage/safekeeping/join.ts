// Backups of several depots in one throw-away database, for pages that look over all of them. Sites, positions and people
// are named by their depot; nothing in it counts as a record: it has no trail, no signatures and no secrets.

import { copyFileSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { type Database, openDatabase } from '../engine/database.ts'
import { type Migration, migrate } from '../engine/migrate.ts'
import { readNote } from './backup.ts'
import { BackupError } from './backup-error.ts'

export interface DepotBackup {
  /** As it is shown: "Alderwick". */
  depot: string
  file: string
}

export interface Joined {
  depot: string
  positions: number
  faults: number
}

/** What the review pages read. All else stays behind. */
const CARRIED = [
  ...['people', 'editions', 'edition_files', 'sites', 'positions', 'position_facts', 'units', 'fittings'],
  ...['faults', 'fault_numbers', 'attendances', 'findings', 'repairs', 'proofs', 'closures', 'conditions'],
  ...['suggestions', 'delays', 'engineer_notes', 'reviews', 'review_entries', 'check_readings'],
  ...['proved_repairs', 'open_faults', 'doubtful_faults', 'visits', 'visit_findings', 'visit_ends'],
  ...['workshop_visits', 'unit_holds', 'handovers', 'not_in_force'],
]

/** Columns that name something by itself, and so carry the depot's name. */
const NAMED: Record<string, string> = { people: 'name', sites: 'name', positions: 'plate', units: 'serial' }

/**
 * Makes `target` of the backups, which are only read, and gives what came from each. Throws BackupError when a file is no
 * backup or not as it was written, or two depots have one name; MigrationError when it is newer than this program.
 */
export async function joinBackups(
  backups: readonly DepotBackup[],
  target: string,
  migrations: Migration[],
  now: Date,
): Promise<Joined[]> {
  const twice = backups.find((one, index) => backups.findIndex(({ depot }) => depot === one.depot) < index)
  if (twice) throw new BackupError(`Two of the files are called ${twice.depot}. Name them: NAME=FILE`)
  for (const { file } of backups) await readNote(file)
  const db = openDatabase(target)
  try {
    migrate(db, migrations, now.toISOString())
    const triggers = dropTriggers(db)
    db.pragma('foreign_keys = OFF') // rows come table by table; looked through at the end
    const joined = backups.map((backup, index) => takeIn(db, backup, index + 1, migrations, now))
    for (const sql of triggers) db.exec(sql)
    const [broken] = db.pragma('foreign_key_check') as { table: string }[]
    if (broken)
      throw new BackupError(`The backups do not fit together: a row of ${broken.table} has lost its own.`)
    return joined
  } finally {
    db.close()
  }
}

/** They keep lists up to date that come with the rows, and keep rows from being touched. */
function dropTriggers(db: Database): string[] {
  const triggers = db
    .prepare<[], { name: string; sql: string }>("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
    .all()
  for (const { name } of triggers) db.exec(`DROP TRIGGER "${name}"`)
  return triggers.map(({ sql }) => sql)
}

function takeIn(
  db: Database,
  { depot, file }: DepotBackup,
  number: number,
  migrations: Migration[],
  now: Date,
): Joined {
  const dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-join-'))
  try {
    const copy = path.join(dir, 'depot.db')
    copyFileSync(file, copy)
    const own = openDatabase(copy)
    try {
      migrate(own, migrations, now.toISOString())
    } finally {
      own.close()
    }
    db.prepare('ATTACH ? AS depot').run(copy)
    for (const table of CARRIED) db.prepare(copyOf(db, table)).run({ depot, number: BigInt(number) })
    const count = (table: string) =>
      db.prepare<[], number>(`SELECT count(*) FROM depot.${table}`).pluck().get() ?? 0
    const joined = { depot, positions: count('positions'), faults: count('faults') }
    db.exec('DETACH depot')
    return joined
  } finally {
    rmSync(dir, { recursive: true })
  }
}

interface Column {
  name: string
}

/** The statement that takes a table's rows over, each key with the number of its depot before it. */
function copyOf(db: Database, table: string): string {
  const columns = db.pragma(`table_info(${table})`) as Column[]
  const references = db.pragma(`foreign_key_list(${table})`) as { from: string; table: string }[]
  const names = columns.map(({ name }) => `"${name}"`)
  const values = columns.map(column => taken(table, column, references))
  return `INSERT INTO main.${table} (${names.join(', ')}) SELECT ${values.join(', ')} FROM depot.${table}`
}

function taken(table: string, { name }: Column, references: { from: string; table: string }[]): string {
  const quoted = `"${name}"`
  if (table === 'people' && (name === 'pin_hash' || name === 'password_hash')) return "''"
  if (table === 'people' && name === 'active') return '0'
  if (table === 'editions' && name === 'seq') return 'seq + 100000 * @number'
  if (table === 'fault_numbers' && name === 'number') return 'number + 10000000 * @number'
  const referred = references.find(({ from }) => from === name)
  if (referred && !CARRIED.includes(referred.table)) return 'NULL'
  const isKey = name === 'id' || name.endsWith('_id') || (table === 'not_in_force' && name === 'key')
  if (referred || isKey) return `CASE WHEN ${quoted} IS NULL THEN NULL ELSE @number || '.' || ${quoted} END`
  if (NAMED[table] === name) return `${quoted} || ' (' || @depot || ')'`
  return quoted
}
