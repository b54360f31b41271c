// Verifies that the database still says what the program wrote: the file itself, the trail's chain, every row against
// its entry, every signature against what was signed.

import type { Migration } from '../engine/migrate.ts'
import type { Connection } from '../engine/sql.ts'
import { beginning, type Entry, hashEntry } from '../engine/trail-recorder.ts'
import { storageTrouble } from '../engine/trouble.ts'
import { contentOf, keyOf, type Value, type WatchedTable, watchedTables } from '../engine/watched.ts'
import { hashSigned, type Signing } from '../faults/signed-content.ts'
import type { Backup } from './backup-folder.ts'
import { schemaProblems } from './schema-check.ts'
import { missingHeads } from './trail-heads.ts'

export interface Verified {
  /** One line each; empty when everything holds. */
  problems: string[]
  entries: number
  rows: number
  signatures: number
  /** The newest entry's hash; null for an empty trail. */
  head: string | null
}

const MAX_PROBLEMS = 100

/** What else the database is held against. */
export interface Against {
  /** Its tables, indexes and triggers must be those that these make. */
  migrations?: Migration[]
  /** The newest entry of each must still be in the trail. */
  backups?: Backup[]
}

/** `expectedHash`: an entry's hash or its beginning, copied elsewhere, which must still be in the trail. Reads only. */
export function verifyDatabase(
  db: Connection,
  expectedHash: string | null = null,
  { migrations, backups = [] }: Against = {},
): Verified {
  const problems: string[] = []
  const say = (problem: string) => {
    if (problems.length < MAX_PROBLEMS) problems.push(problem)
    else if (problems.length === MAX_PROBLEMS) problems.push('… and more')
  }
  const part = <T>(look: () => T, otherwise: T): T => {
    try {
      return look()
    } catch (error) {
      if (!storageTrouble(error)) throw error
      say(`The file is damaged: ${error instanceof Error ? error.message : ''}.`)
      return otherwise
    }
  }
  // All at one moment; only reads, and a damaged file can't even commit those.
  db.exec('BEGIN')
  try {
    part(() => file(db, say), undefined)
    if (migrations) part(() => schemaProblems(db, migrations).forEach(say), undefined)
    const chain = part(() => verifyChain(db, expectedHash, say), { entries: 0, head: null })
    part(() => missingHeads(db, backups).forEach(say), undefined)
    const tables = part(() => watchedTables(db), [])
    const rows = tables.reduce((sum, table) => sum + part(() => verifyRows(db, table, say), 0), 0)
    return { problems, ...chain, rows, signatures: part(() => verifySignatures(db, say), 0) }
  } finally {
    if (db.inTransaction) db.exec('ROLLBACK')
  }
}

type Say = (problem: string) => void

function file(db: Connection, say: Say): void {
  for (const { integrity_check: result } of db.pragma('integrity_check') as { integrity_check: string }[])
    if (result !== 'ok') say(`The file is damaged: ${result}`)
  const pointers = db.pragma('foreign_key_check') as { table: string }[]
  for (const { table } of pointers.slice(0, 10)) say(`A row of ${table} points at nothing.`)
}

function verifyChain(
  db: Connection,
  expectedHash: string | null,
  say: Say,
): { entries: number; head: string | null } {
  const all = db.prepare<[], Entry & { hash: string }>(`
    SELECT seq, at, person_id AS personId, tablet_id AS tabletId, what, subject, key, old, new, content, previous, hash
    FROM trail ORDER BY seq`)
  let entries = 0
  let head: string = beginning
  let seen = expectedHash === null || expectedHash === beginning
  for (const { hash, ...entry } of all.iterate()) {
    const where = `Trail entry ${entry.seq} (${entry.at}, ${entry.subject} ${entry.key})`
    if (entry.seq !== entries + 1) say(`Trail entries ${entries + 1} to ${entry.seq - 1} are missing.`)
    else if (entry.previous !== head)
      say(`${where} does not follow the one before it: one of them was changed.`)
    if (hashEntry(entry) !== hash) say(`${where} was changed.`)
    entries = entry.seq
    head = hash
    seen ||= expectedHash !== null && hash.startsWith(expectedHash)
  }
  if (!seen)
    say(
      `The entry ${expectedHash?.slice(0, 12)}… that was copied elsewhere is not in the trail: its end is missing or was changed.`,
    )
  return { entries, head: entries === 0 ? null : head }
}

/** Each row must be as its newest entry says, and each row that was added and not removed must be there. */
function verifyRows(db: Connection, table: WatchedTable, say: Say): number {
  const columns = table.columns.map(name => `"${name}"`).join(', ')
  const rows = db.prepare<[], Value[]>(`SELECT ${columns} FROM "${table.name}"`).raw()
  const newest = db.prepare<[string, string], { content: string | null }>(`
    SELECT content FROM trail WHERE subject = ? AND key = ? AND what <> 'happened' ORDER BY seq DESC LIMIT 1`)
  const keys = new Set<string>()
  for (const row of rows.iterate()) {
    const key = keyOf(table, row)
    keys.add(key)
    const entry = newest.get(table.name, key)
    if (!entry) say(`${table.name} ${key}: this row was not written by the program.`)
    else if (entry.content !== contentOf(table, row)) say(`${table.name} ${key}: this row was changed.`)
  }
  const added = db.prepare<[string], { key: string; content: string | null }>(`
    SELECT t.key, t.content FROM trail t WHERE t.subject = ? AND t.what <> 'happened'
      AND NOT EXISTS (SELECT 1 FROM trail n WHERE n.subject = t.subject AND n.key = t.key AND n.seq > t.seq)`)
  for (const { key, content } of added.iterate(table.name))
    if (content !== null && !keys.has(key)) say(`${table.name} ${key}: this row is missing.`)
  return keys.size
}

function verifySignatures(db: Connection, say: Say): number {
  const all = db.prepare<[], Signing & { contentHash: string }>(`
    SELECT fault_id AS faultId, at, by, printed_name AS printedName, meaning, content_hash AS contentHash, unseen
    FROM signatures`)
  const signatures = all.all()
  for (const { contentHash, ...signing } of signatures) {
    if (hashSigned(db, signing) === contentHash) continue
    say(
      `Fault ${signing.faultId}: what ${signing.printedName} signed on ${signing.at} is not what is on record now.`,
    )
  }
  return signatures.length
}
