// Every row that is added, changed or removed is noted as it happens, by triggers that live in this connection only, and
// sealed into the trail before the transaction is committed. So nothing this program writes is left out, and what
// somebody else writes into the file shows as a row without an entry.

import { sha256 } from '#platform'
import { actor } from './acting.ts'
import type { Database } from './database.ts'
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

/** What a change touches: the row by its key, and the fault whose row it was, or null when it can't be told. */
export type Touched = { table: string; key: string; faultId: string | null }

export interface TrailKeeper {
  note(note: Note): void
  /** Writes what was noted since the last seal; within the transaction. */
  seal(at: string): void
  /** How many notes wait; a part that is taken back drops those after it with `drop`. */
  waiting(): number
  drop(to: number): void
  /** Whether a transaction of ours is open; a write outside one is refused. */
  open(is: boolean): void
  /** Told of each change as it is made, and with null when something was taken back. */
  onChange(told: (touched: Touched | null) => void): void
  takenBack(): void
}

export const beginning = sha256('the trail begins')

const keepers = new WeakMap<Database, TrailKeeper>()

/** One a connection. */
export function keepTrail(db: Database): TrailKeeper {
  const known = keepers.get(db)
  if (known) return known
  const keeper = createKeeper(db)
  keepers.set(db, keeper)
  return keeper
}

export function hashEntry(entry: Entry): string {
  const { previous, seq, at, personId, tabletId, what, subject, key, old, new: after, content } = entry
  return sha256(
    JSON.stringify([previous, seq, at, personId, tabletId, what, subject, key, old, after, content]),
  )
}

function createKeeper(db: Database): TrailKeeper {
  const notes: Note[] = []
  const listeners: ((touched: Touched | null) => void)[] = []
  let open = false
  const tables = watchedTables(db)
  const byName = new Map(tables.map(table => [table.name, table]))
  db.function('trail_note', { varargs: true }, (what, name, ...values) => {
    const table = byName.get(String(name))
    if (!table || !open) throw new Error(`${name} was written outside a transaction of the program`)
    const note = noteOf(what as What, table, values as Value[])
    notes.push(note)
    const touched = { table: table.name, key: note.key, faultId: faultOf(table, note, values as Value[]) }
    for (const tell of listeners) tell(touched)
    return null
  })
  for (const table of tables) db.exec(triggersOf(table))

  const last = db.prepare<[], { seq: number; hash: string }>(
    'SELECT seq, hash FROM trail ORDER BY seq DESC LIMIT 1',
  )
  const insert = db.prepare(`
    INSERT INTO trail (seq, at, person_id, tablet_id, what, subject, key, old, new, content, previous, hash)
    VALUES (@seq, @at, @personId, @tabletId, @what, @subject, @key, @old, @new, @content, @previous, @hash)`)

  return {
    note: note => void notes.push(note),
    waiting: () => notes.length,
    drop: to => void notes.splice(to),
    onChange: told => void listeners.push(told),
    takenBack() {
      for (const tell of listeners) tell(null)
    },
    open: is => {
      open = is
    },
    seal(at) {
      if (notes.length === 0) return
      let { seq, hash } = last.get() ?? { seq: 0, hash: beginning }
      for (const note of notes.splice(0)) {
        seq += 1
        const entry = { seq, at, previous: hash, ...note, ...actor() }
        hash = hashEntry(entry)
        insert.run({ hash, ...entry })
      }
    },
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
