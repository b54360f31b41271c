// Records every row that is added, changed or removed, as it happens, by triggers that live in this connection only, and
// appends it to the trail before the transaction is committed. So no write of this program is left out, and what another
// program writes into the file shows as a row without an entry.

import { sha256 } from '#platform'
import { actor } from './acting.ts'
import { type Connection, sql } from './sql.ts'
import { changeOf, contentOf, keyOf, type Value, type WatchedTable, watchedTables } from './watched.ts'

export type What = 'added' | 'changed' | 'removed' | 'happened'

export interface Note {
  what: What
  subject: string
  key: string
  old: string | null
  new: string | null
  content: string | null
}

export type Entry = Note & {
  seq: number
  at: string
  personId: string | null
  tabletId: string | null
  previous: string
}

/** The row that a change touches, by its key, and the fault whose row it is; null when it is no fault's. */
export interface Touched {
  table: string
  key: string
  faultId: string | null
}

export interface TrailRecorder {
  /** Begins a transaction: a write outside one is refused. */
  begin(): void
  note(note: Note): void
  /** Appends what was noted since the last seal to the trail; within the transaction. */
  seal(at: string): void
  /** The transaction was rolled back: tells the listeners, if anything was written in it. */
  abort(): void
  /** Ends the transaction, however it went. */
  end(): void
  /** How many notes are not sealed yet; a part of the transaction that is rolled back drops those after it with `drop`. */
  pending(): number
  drop(to: number): void
  /** Called with each change as it is made, and with null when any row may read otherwise than before. */
  onChange(listener: (touched: Touched | null) => void): void
  rolledBack(): void
  /** What no page could read until now is in force. */
  putInForce(): void
}

/** The hash that the first entry follows. */
export const beginning = sha256('the trail begins')

const recorders = new WeakMap<Connection, TrailRecorder>()

/** The connection's recorder; made, with its triggers, on first use. */
export function recorderOf(db: Connection): TrailRecorder {
  const existing = recorders.get(db)
  if (existing) return existing
  const recorder = createRecorder(db)
  recorders.set(db, recorder)
  return recorder
}

export function hashEntry(entry: Entry): string {
  const { previous, seq, at, personId, tabletId, what, subject, key, old, new: after, content } = entry
  return sha256(
    JSON.stringify([previous, seq, at, personId, tabletId, what, subject, key, old, after, content]),
  )
}

function createRecorder(db: Connection): TrailRecorder {
  const notes: Note[] = []
  const listeners: ((touched: Touched | null) => void)[] = []
  let inTransaction = false
  let wrote = false

  const tellAll = (touched: Touched | null): void => {
    for (const tell of listeners) tell(touched)
  }
  watchRows(db, (note, touched) => {
    if (!inTransaction) throw new Error(`${note.subject} was written outside a transaction of the program`)
    notes.push(note)
    tellAll(touched)
  })

  return {
    begin() {
      inTransaction = true
      wrote = false
    },
    note: note => void notes.push(note),
    seal(at) {
      wrote = notes.length > 0
      append(db, at, notes.splice(0))
    },
    abort() {
      if (wrote || notes.length > 0) tellAll(null)
    },
    end() {
      inTransaction = false
      notes.length = 0
    },
    pending: () => notes.length,
    drop: to => void notes.splice(to),
    onChange: listener => void listeners.push(listener),
    rolledBack: () => tellAll(null),
    putInForce: () => tellAll(null),
  }
}

/** Calls `changed` for each row that this connection changes, through triggers of its own. */
function watchRows(db: Connection, changed: (note: Note, touched: Touched) => void): void {
  const tables = watchedTables(db)
  const byName = new Map(tables.map(table => [table.name, table]))
  db.function('trail_note', { varargs: true }, (what, name, ...values) => {
    const table = byName.get(String(name))
    if (!table) throw new Error(`${name} is not a table that the trail records`)
    const note = noteOf(what as What, table, values as Value[])
    changed(note, { table: table.name, key: note.key, faultId: faultOf(table, note, values as Value[]) })
    return null
  })
  for (const table of tables) db.exec(triggersOf(table))
}

const newest = sql<[], { seq: number; hash: string }>('SELECT seq, hash FROM trail ORDER BY seq DESC LIMIT 1')
const insert = sql(`
  INSERT INTO trail (seq, at, person_id, tablet_id, what, subject, key, old, new, content, previous, hash)
  VALUES (@seq, @at, @personId, @tabletId, @what, @subject, @key, @old, @new, @content, @previous, @hash)`)

function append(db: Connection, at: string, notes: Note[]): void {
  if (notes.length === 0) return
  let { seq, hash } = newest(db).get() ?? { seq: 0, hash: beginning }
  for (const note of notes) {
    seq += 1
    const entry = { seq, at, previous: hash, ...note, ...actor() }
    hash = hashEntry(entry)
    insert(db).run({ hash, ...entry })
  }
}

/** The trigger hands over the old row's values, the new row's, or both. What was added is the row itself. */
function noteOf(what: What, table: WatchedTable, values: Value[]): Note {
  const half = table.columns.length
  const before = what === 'added' ? null : values.slice(0, half)
  const after = what === 'added' ? values : what === 'removed' ? null : values.slice(half)
  const key = keyOf(table, after ?? before ?? [])
  const changed = what === 'added' ? { old: null, new: null } : changeOf(table, before, after)
  return { what, subject: table.name, key, content: after && contentOf(table, after), ...changed }
}

/** A fault never changes its id, so the old row's will do. */
function faultOf({ name, columns }: WatchedTable, { key }: Note, values: Value[]): string | null {
  if (name === 'faults') return key
  const at = columns.indexOf('fault_id')
  return at < 0 ? null : String(values[at])
}

function triggersOf({ name, columns }: WatchedTable): string {
  const list = (row: 'OLD' | 'NEW') => columns.map(column => `${row}."${column}"`).join(', ')
  const watched = columns.map(column => `"${column}"`).join(', ')
  return `
    CREATE TEMP TRIGGER "trail_${name}_added" AFTER INSERT ON main."${name}"
      BEGIN SELECT trail_note('added', '${name}', ${list('NEW')}); END;
    CREATE TEMP TRIGGER "trail_${name}_changed" AFTER UPDATE OF ${watched} ON main."${name}"
      BEGIN SELECT trail_note('changed', '${name}', ${list('OLD')}, ${list('NEW')}); END;
    CREATE TEMP TRIGGER "trail_${name}_removed" AFTER DELETE ON main."${name}"
      BEGIN SELECT trail_note('removed', '${name}', ${list('OLD')}); END;`
}
