// Importing a depot's own spreadsheets, all or nothing; what is imported twice is recognised.

import { assertNever } from '../../errors.ts'
import type { ReadyRows } from '../../exchange/ready-rows.ts'
import type { Subject } from '../../exchange/subjects.ts'
import { sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'
import type { Positions } from '../railway/positions.ts'
import type { Sites } from '../railway/sites.ts'
import type { Units } from '../railway/units.ts'
import { createImportedDays } from './imports-days.ts'
import { createImportedFaults } from './imports-faults.ts'
import { createImportedPositions, createImportedSites } from './imports-places.ts'
import { createImportedUnits } from './imports-units.ts'
import type { Load, Loaded, Loading, RowState } from './load-row.ts'

export interface RowOutcome extends Loaded {
  line: number
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

/** Thrown to roll a trial back. */
class TrialEnd extends Error {}

const insert = sql(`
  INSERT INTO imports (id, at, by, subject, file_name, sha256, columns, added, changed, same, left_out)
  VALUES (@id, @at, @by, @subject, @fileName, @sha256, @columns, @added, @changed, @same, @leftOut)`)
const columns = `i.id, i.at, p.name AS byName, i.subject, i.file_name AS fileName, i.added, i.changed, i.same,
  i.left_out AS leftOut FROM imports i JOIN people p ON p.id = i.by`
const one = sql<[string], ImportRow>(`SELECT ${columns} WHERE i.id = ?`)
const newest = sql<[number], ImportRow>(`SELECT ${columns} ORDER BY i.at DESC, i.id LIMIT ?`)

export function createImports(
  writer: Writer,
  others: { sites: Sites; positions: Positions; units: Units },
): Imports {
  const { db, write } = writer
  const loaders = createLoaders(writer, others)
  return {
    tryOut: (loading, ready) => tryOut(writer, () => loadEach(loaders, loading, ready)),
    load: (loading, ready) =>
      write(() => {
        if (one(db).get(loading.id)) return { repeated: true, outcomes: [] }
        return { repeated: false, outcomes: load(writer, loaders, loading, ready) }
      }),
    find: id => one(db).get(id) ?? null,
    list: limit => newest(db).all(limit),
  }
}

type Loaders = ReturnType<typeof createLoaders>

function createLoaders(writer: Writer, others: { sites: Sites; positions: Positions; units: Units }) {
  return {
    site: createImportedSites(writer, others),
    position: createImportedPositions(writer, others),
    unit: createImportedUnits(writer, others),
    fault: createImportedFaults(writer),
    day: createImportedDays(writer),
  }
}

function load({ db, moment }: Writer, loaders: Loaders, loading: Loading, ready: ReadyRows): RowOutcome[] {
  // A past fault or a day names its import, whose own row holds the counts: it comes last, before the commit.
  db.pragma('defer_foreign_keys = ON')
  const outcomes = loadEach(loaders, loading, ready)
  const { bad, ...counts } = countsOf(outcomes)
  insert(db).run({
    ...loading,
    ...counts,
    subject: ready.subject,
    columns: JSON.stringify(loading.columns),
    at: moment(),
    leftOut: loading.leftOut + bad,
  })
  return outcomes
}

/** Loads, and rolls it all back. */
function tryOut({ db, write }: Writer, loadAll: () => RowOutcome[]): RowOutcome[] {
  let outcomes: RowOutcome[] = []
  try {
    write(() => {
      db.pragma('defer_foreign_keys = ON')
      outcomes = loadAll()
      throw new TrialEnd()
    })
  } catch (error) {
    if (!(error instanceof TrialEnd)) throw error
  }
  return outcomes
}

function loadEach(
  { site, position, unit, fault, day }: Loaders,
  loading: Loading,
  ready: ReadyRows,
): RowOutcome[] {
  switch (ready.subject) {
    case 'sites':
      return loadRows(ready.rows, row => row.name, site, loading)
    case 'positions':
      return loadRows(ready.rows, row => row.plate, position, loading)
    case 'units':
      return loadRows(ready.rows, row => `${row.kind} ${row.serial}`, unit, loading)
    case 'past faults':
      return loadRows(ready.rows, faultKey, fault, loading)
    case 'temperatures':
      return loadRows(ready.rows, row => row.day, day, loading)
    default:
      return assertNever(ready)
  }
}

export function countsOf(outcomes: RowOutcome[]) {
  const of = (state: RowState) => outcomes.filter(one => one.state === state).length
  return { added: of('new'), changed: of('changed'), same: of('same'), bad: of('bad') }
}

/** Two rows of one file that speak of the same thing must say the same. */
function loadRows<R extends { line: number }>(
  rows: R[],
  keyOf: (row: R) => string,
  load: Load<R>,
  loading: Loading,
): RowOutcome[] {
  const seen = new Map<string, { line: number; content: string }>()
  return rows.map(row => {
    const { line, ...rest } = row
    const key = keyOf(row).toLowerCase()
    const content = JSON.stringify(rest)
    const earlier = seen.get(key)
    if (earlier?.content === content) return { line, state: 'same', words: `As line ${earlier.line}.` }
    if (earlier) return { line, state: 'bad', words: `Line ${earlier.line} says otherwise of the same.` }
    seen.set(key, { line, content })
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
