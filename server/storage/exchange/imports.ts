// Importing a depot's own spreadsheets, all or nothing; what is imported twice is recognised. Past faults and daily
// temperatures come by the thousand: they are written in small commits, read by nothing until one more puts them in force.

import type { ReadyRows } from '../../exchange/ready-rows.ts'
import type { Subject } from '../../exchange/subjects.ts'
import { inForce } from '../engine/in-force.ts'
import { scalar, sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'
import type { Loading, RowState } from './load-row.ts'
import { createLook, type Places, type PlannedRow, type RowOutcome } from './look-at-rows.ts'
import { createSweep, type WhyGivenUp } from './sweep-import.ts'
import { createUndo, importWritten, type Undoing } from './undo-import.ts'

export type { RowOutcome } from './look-at-rows.ts'
export type { WhyGivenUp } from './sweep-import.ts'

export interface ImportRow {
  id: string
  at: string
  byName: string
  subject: Subject
  fileName: string
  added: number
  changed: number
  same: number
  leftOut: number
  /** Why it came to nothing; null when it did not. */
  givenUp: WhyGivenUp | null
  underWay: boolean
  /** By whom and why it was undone; null while it stands. */
  undoneAt: string | null
  undoneByName: string | null
  undoneWhy: string | null
}

export interface Imports {
  /** Begins with a file; nothing is written until it is told to. */
  begin(loading: Omit<Loading, 'leftOut'>, subject: Subject): Bringing
  /** Writes every row that is not bad, and the import itself, in one commit. */
  load(loading: Loading, ready: ReadyRows): Written & { outcomes: RowOutcome[] }
  /** The import that is not in force yet, or null. */
  underWay(): ImportRow | null
  /**
   * Takes away some more rows of the import under way, which then came to nothing. True when none is left; then there is
   * no import under way.
   */
  sweep(rows: number, why: WhyGivenUp): boolean
  /** Whether rows wait to be swept: of an import that came to nothing, or was undone. */
  mustSweep(): boolean
  /** Takes an import back whole; see undo-import.ts. 'conflict' when something stands on it. */
  undo(undoing: Undoing): void
  find(id: string): ImportRow | null
  /** Newest first, without the one under way. */
  list(limit: number): ImportRow[]
}

export type Counts = Record<'added' | 'changed' | 'same' | 'bad', number>

/** A file that is brought in, step by step: looked at, written, put in force. */
export interface Bringing {
  /** What these rows, the next of the file, would do; nothing is written. */
  look(ready: ReadyRows): RowOutcome[]
  /** Of all rows looked at. */
  counts(): Counts
  /** How many rows are written of those that are before the import is in force: none where all is one commit. */
  written(): { done: number; of: number }
  /** Writes the import itself, which is not in force. `leftOut`: rows that could not even be read. */
  open(leftOut: number): void
  /** Writes the next so many rows. */
  write(rows: number): void
  /** In one short commit; with it everything that is written all at once. */
  putInForce(): void
}

const insert = sql(`
  INSERT INTO imports (id, at, by, subject, file_name, sha256, columns, added, changed, same, left_out)
  VALUES (@id, @at, @by, @subject, @fileName, @sha256, @columns, @added, @changed, @same, @leftOut)`)
const columns = `i.id, i.at, p.name AS byName, i.subject, i.file_name AS fileName, i.added, i.changed, i.same,
  i.left_out AS leftOut, g.why AS givenUp, NOT ${inForce('imports', 'i.id')} AS underWay,
  u.at AS undoneAt, up.name AS undoneByName, u.why AS undoneWhy
  FROM imports i JOIN people p ON p.id = i.by LEFT JOIN given_up_imports g ON g.import_id = i.id
  LEFT JOIN undone_imports u ON u.import_id = i.id LEFT JOIN people up ON up.id = u.by`
type Row = Omit<ImportRow, 'underWay'> & { underWay: number }
const one = sql<[string], Row>(`SELECT ${columns} WHERE i.id = ?`)
const newest = sql<[number], Row>(
  `SELECT ${columns} WHERE ${inForce('imports', 'i.id')} ORDER BY i.at DESC, i.id LIMIT ?`,
)
const name = sql<[string, string]>('INSERT INTO not_in_force (subject, key) VALUES (?, ?)')
const anyNamed = scalar<[], number>('SELECT 1 FROM not_in_force LIMIT 1')
const unnamed = scalar<[], string>("SELECT key FROM not_in_force WHERE subject = 'imports'")
const unnameAll = sql('DELETE FROM not_in_force')

/** Where rows of a subject are written before they are in force. The others change what is on record, at one moment. */
const writtenAhead: Partial<Record<Subject, string>> = {
  'past faults': 'faults',
  temperatures: 'daily_temperatures',
}

export function createImports(writer: Writer, others: Places): Imports {
  const { db, write } = writer
  const find = (id: string) => row(one(db).get(id))
  return {
    begin: (loading, subject) => begin(writer, others, { ...loading, leftOut: 0 }, subject),
    load: (loading, ready) =>
      write(() => {
        if (one(db).get(loading.id)) return { repeated: true, outcomes: [] }
        const planned = createLook(writer, others, loading)(ready)
        addImport(writer, loading, ready.subject, countsOf(planned))
        for (const { write } of planned) write?.()
        endWriting(writer, loading.id)
        return { repeated: false, outcomes: planned }
      }),
    underWay: () => find(unnamed(db).get() ?? ''),
    sweep: createSweep(writer),
    mustSweep: () => anyNamed(db).get() !== undefined,
    undo: createUndo(writer),
    find,
    list: limit =>
      newest(db)
        .all(limit)
        .flatMap(one => row(one) ?? []),
  }
}

function row(found: Row | undefined): ImportRow | null {
  return found ? { ...found, underWay: found.underWay === 1 } : null
}

function addImport({ db, moment }: Writer, loading: Loading, subject: Subject, counts: Counts): void {
  const { bad, ...others } = counts
  insert(db).run({
    ...loading,
    ...others,
    subject,
    columns: JSON.stringify(loading.columns),
    at: moment(),
    leftOut: loading.leftOut + bad,
  })
}

/** The trail tells by this which rows were the import's. */
function endWriting({ trail }: Writer, id: string): void {
  trail.note({ what: 'happened', subject: importWritten, key: id, old: null, new: null, content: null })
}

function begin(writer: Writer, others: Places, loading: Loading, subject: Subject): Bringing {
  const look = createLook(writer, others, loading)
  const counted: Counts = { added: 0, changed: 0, same: 0, bad: 0 }
  const rows: PlannedRow[] = []
  const file = { loading, subject, counted, rows }
  const table = writtenAhead[subject]
  return {
    look(ready) {
      const planned = look(ready)
      const counts = countsOf(planned)
      for (const state of ['added', 'changed', 'same', 'bad'] as const) counted[state] += counts[state]
      rows.push(...planned.filter(one => one.write !== null))
      return planned.map(({ line, state, words }) => ({ line, state, words }))
    },
    counts: () => ({ ...counted }),
    ...(table ? aheadOfForce(writer, table, file) : atOnce(writer, file)),
  }
}

interface LookedFile {
  loading: Loading
  subject: Subject
  /** Of all rows looked at, and those of them that write something. */
  counted: Counts
  rows: PlannedRow[]
}

type Writing = Pick<Bringing, 'open' | 'written' | 'write' | 'putInForce'>

/** Rows that change what is on record can't be there without being read: all of them come in one commit. */
function atOnce(writer: Writer, { loading, subject, counted, rows }: LookedFile): Writing {
  let leftOut = 0
  return {
    open(unread) {
      leftOut = unread
    },
    written: () => ({ done: 0, of: 0 }),
    write() {},
    putInForce() {
      writer.write(() => {
        addImport(writer, { ...loading, leftOut }, subject, counted)
        for (const { write } of rows) write?.()
        endWriting(writer, loading.id)
      })
    },
  }
}

function aheadOfForce(
  writer: Writer,
  table: string,
  { loading, subject, counted, rows }: LookedFile,
): Writing {
  const { db, write, writeAhead, trail } = writer
  let done = 0
  return {
    open: leftOut =>
      writeAhead(() => {
        name(db).run('imports', loading.id)
        addImport(writer, { ...loading, leftOut }, subject, counted)
      }),
    written: () => ({ done, of: rows.length }),
    write(most) {
      const next = rows.slice(done, done + most)
      writeAhead(() => {
        for (const { key, write } of next) {
          name(db).run(table, key ?? '')
          write?.()
        }
      })
      done += next.length
    },
    putInForce() {
      write(() => {
        unnameAll(db).run()
        const event = { what: 'happened', subject: 'import in force', key: loading.id } as const
        trail.note({ ...event, old: null, new: null, content: null })
        trail.putInForce()
      })
    },
  }
}

function countsOf(outcomes: { state: RowState }[]): Counts {
  const of = (state: RowState) => outcomes.filter(one => one.state === state).length
  return { added: of('new'), changed: of('changed'), same: of('same'), bad: of('bad') }
}
