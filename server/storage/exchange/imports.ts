// What comes in from a depot's own spreadsheets, all or nothing, and known again when it comes twice.

import type { ReadyRows } from '../../exchange/ready-rows.ts'
import type { Subject } from '../../exchange/subjects.ts'
import type { Writer, Written } from '../engine/writer.ts'
import type { Positions } from '../railway/positions.ts'
import type { Sites } from '../railway/sites.ts'
import type { Units } from '../railway/units.ts'
import { createImportedDays } from './imports-days.ts'
import { createImportedFaults } from './imports-faults.ts'
import { createImportedPlaces } from './imports-places.ts'
import { createImportedUnits } from './imports-units.ts'

export type RowState = 'new' | 'same' | 'changed' | 'bad'
/** `words`: why it is bad, or what is changed. */
export interface RowOutcome {
  line: number
  state: RowState
  words: string
}

export interface Loading {
  id: string
  by: string
  editionId: string
  fileName: string
  sha256: string
  columns: object
  /** Rows that could not even be read, for the count. */
  leftOut: number
}

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
}

export interface Imports {
  /** What loading would do to each row; nothing is written. */
  tryOut(loading: Loading, ready: ReadyRows): RowOutcome[]
  /** Writes every row that is not bad, and the import itself. */
  load(loading: Loading, ready: ReadyRows): Written & { outcomes: RowOutcome[] }
  find(id: string): ImportRow | null
  /** Newest first. */
  list(limit: number): ImportRow[]
}

/** Puts one row on record, or says why not. */
export type Load<R> = (row: R, loading: Loading) => { state: RowState; words: string }

class Undone extends Error {}

export function createImports(
  writer: Writer,
  others: { sites: Sites; positions: Positions; units: Units },
): Imports {
  const { db, write, moment } = writer
  const places = createImportedPlaces(writer, others)
  const unit = createImportedUnits(writer, others)
  const fault = createImportedFaults(writer)
  const day = createImportedDays(writer)
  const insert = db.prepare(`
    INSERT INTO imports (id, at, by, subject, file_name, sha256, columns, added, changed, same, left_out)
    VALUES (@id, @at, @by, @subject, @fileName, @sha256, @columns, @added, @changed, @same, @leftOut)`)
  const columns = `i.id, i.at, p.name AS byName, i.subject, i.file_name AS fileName, i.added, i.changed, i.same,
    i.left_out AS leftOut FROM imports i JOIN people p ON p.id = i.by`
  const one = db.prepare<[string], ImportRow>(`SELECT ${columns} WHERE i.id = ?`)
  const newest = db.prepare<[number], ImportRow>(`SELECT ${columns} ORDER BY i.at DESC, i.id LIMIT ?`)

  function each(loading: Loading, ready: ReadyRows): RowOutcome[] {
    switch (ready.subject) {
      case 'sites':
        return through(ready.rows, row => row.name, places.site, loading)
      case 'positions':
        return through(ready.rows, row => row.plate, places.position, loading)
      case 'units':
        return through(ready.rows, row => `${row.kind} ${row.serial}`, unit, loading)
      case 'past faults':
        return through(ready.rows, faultKey, fault, loading)
      case 'temperatures':
        return through(ready.rows, row => row.day, day, loading)
    }
  }

  function load(loading: Loading, ready: ReadyRows): RowOutcome[] {
    // A past fault or a day names its import, whose own row holds the counts: it comes last, before the commit.
    db.pragma('defer_foreign_keys = ON')
    const outcomes = each(loading, ready)
    const { bad, ...counts } = countsOf(outcomes)
    insert.run({
      ...{ ...loading, subject: ready.subject, columns: JSON.stringify(loading.columns), at: moment() },
      ...{ ...counts, leftOut: loading.leftOut + bad },
    })
    return outcomes
  }

  /** All is done, looked at, and taken back. */
  function tryOut(loading: Loading, ready: ReadyRows): RowOutcome[] {
    let outcomes: RowOutcome[] = []
    try {
      write(() => {
        db.pragma('defer_foreign_keys = ON')
        outcomes = each(loading, ready)
        throw new Undone()
      })
    } catch (error) {
      if (!(error instanceof Undone)) throw error
    }
    return outcomes
  }

  return {
    tryOut,
    load: (loading, ready) =>
      write(() =>
        one.get(loading.id)
          ? { repeated: true, outcomes: [] }
          : { repeated: false, outcomes: load(loading, ready) },
      ),
    find: id => one.get(id) ?? null,
    list: limit => newest.all(limit),
  }
}

export function countsOf(outcomes: RowOutcome[]) {
  const of = (state: RowState) => outcomes.filter(one => one.state === state).length
  return { added: of('new'), changed: of('changed'), same: of('same'), bad: of('bad') }
}

/** Two rows of one file that speak of the same thing must say the same. */
function through<R extends { line: number }>(
  rows: R[],
  keyOf: (row: R) => string,
  load: Load<R>,
  loading: Loading,
): RowOutcome[] {
  const seen = new Map<string, { line: number; said: string }>()
  return rows.map(row => {
    const { line, ...rest } = row
    const [key, said] = [keyOf(row).toLowerCase(), JSON.stringify(rest)]
    const before = seen.get(key)
    if (before && before.said === said) return { line, state: 'same', words: `As line ${before.line}.` }
    if (before) return { line, state: 'bad', words: `Line ${before.line} says otherwise of the same.` }
    seen.set(key, { line, said })
    return { line, ...load(row, loading) }
  })
}

function faultKey(row: {
  reference: string | null
  plate: string
  reportedAt: string
  symptom: string
}): string {
  return row.reference ? `reference ${row.reference}` : `${row.plate} ${row.reportedAt} ${row.symptom}`
}
