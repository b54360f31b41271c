// Whole tables, a few rows at a time: between two parts other work goes on, and no table is ever held in memory.

import { AppError } from '../../errors.ts'
import { inForce } from '../engine/in-force.ts'
import { type Connection, scalar, sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'
import { commonColumns, secretColumns } from './export-columns.ts'
import { exportedTables } from './export-tables.ts'

export type ColumnKind = 'text' | 'number' | 'time' | 'yes or no' | 'data'
export type ExportedValue = string | number | null

export interface ExportedColumn {
  name: string
  kind: ColumnKind
  about: string
}

export interface ExportTable {
  name: string
  about: string
  columns: ExportedColumn[]
  rows: number
}

export interface Exports {
  /** Every table that can be taken out, with how many rows it has. */
  list(): ExportTable[]
  /** 'not found' when there is no such table, or it is kept in. */
  get(name: string): ExportTable
  /** In the order of the key; each part is read when it is asked for. */
  parts(name: string): Generator<ExportedValue[][]>
}

const partRows = 1000
const yesNo = new Set([
  'indicated',
  'active',
  'intermittent',
  'cleared_itself',
  'passed',
  'matched',
  'settled',
  'flag',
  'pause',
  'after_work',
  'closed',
  'followed',
  'aside',
  'closed_known',
])
const alsoTimes = new Set(['at', 'in_service', 'out_of_service', 'expected_finish'])
/** A temperature as the program writes it; what was typed in words has no number. */
const celsius =
  "CASE WHEN name = 'temperature' AND value GLOB '*[0-9] °C' AND value NOT GLOB '*[^-0-9. °C]*' THEN CAST(value AS REAL) END"

/** Columns that are worked out for the export, beside those of the table. */
const derived: Record<string, { name: string; sql: string; kind: ColumnKind }[]> = {
  ...Object.fromEntries(['findings', 'proofs', 'visit_findings'].map(name => [name, limitsOf()])),
  conditions: [{ name: 'celsius', sql: celsius, kind: 'number' }],
}

function limitsOf(): { name: string; sql: string; kind: ColumnKind }[] {
  return [
    { name: 'range_min', sql: "json_extract(range, '$.min')", kind: 'number' },
    { name: 'range_max', sql: "json_extract(range, '$.max')", kind: 'number' },
  ]
}

/** Of these, only rows in force are taken out. */
const inForceOnly: Record<string, string> = {
  faults: inForce('faults', 'id'),
  ...Object.fromEntries(
    ['conditions', 'closures', 'imported_faults', 'fault_numbers'].map(name => [name, ofFaultInForce()]),
  ),
  daily_temperatures: inForce('daily_temperatures', 'day'),
  imports: inForce('imports', 'id'),
}

function ofFaultInForce(): string {
  return inForce('faults', 'fault_id')
}

interface Column {
  name: string
  type: string
  pk: number
}

const columnsOf = sql<[string], Column>(
  'SELECT name, type, pk FROM pragma_table_xinfo(?) WHERE hidden = 0 ORDER BY cid',
)

const madeBy = scalar<[string], string>('SELECT sql FROM sqlite_schema WHERE name = ?')

export function createExports({ db }: Writer): Exports {
  return {
    list: () => Object.keys(exportedTables).map(name => tableNamed(db, name)),
    get: name => tableNamed(db, name),
    parts: name => parts(db, name),
  }
}

function tableNamed(db: Connection, name: string): ExportTable {
  const words = Object.hasOwn(exportedTables, name) ? exportedTables[name] : undefined
  const stored = words ? columnsOf(db).all(name) : []
  const made = words ? (madeBy(db).get(name) ?? '') : ''
  const exported = stored.filter(column => !secretColumns.has(column.name))
  if (!words || exported.length === 0) throw new AppError('not found', 'There is no such table to take out.')
  const about = (column: string) => words.columns?.[column] ?? commonColumns[column] ?? ''
  const columns = [
    ...exported.map(column => ({ name: column.name, kind: kindOf(column, made) })),
    ...(derived[name] ?? []).map(({ name, kind }) => ({ name, kind })),
  ].map(column => ({ ...column, about: about(column.name) }))
  const rows =
    db
      .prepare<[], number>(`SELECT count(*) FROM "${name}" WHERE ${inForceOnly[name] ?? true}`)
      .pluck()
      .get() ?? 0
  return { name, about: words.about, columns, rows }
}

function* parts(db: Connection, name: string): Generator<ExportedValue[][]> {
  const { columns } = tableNamed(db, name)
  const key = columnsOf(db)
    .all(name)
    .filter(column => column.pk > 0)
    .sort((a, b) => a.pk - b.pk)
  const keyed = key.map(column => `"${column.name}"`).join(', ')
  const sqlOf = new Map((derived[name] ?? []).map(column => [column.name, column.sql]))
  const list = columns.map(column => sqlOf.get(column.name) ?? `"${column.name}"`).join(', ')
  const read = (where: string) =>
    db
      .prepare<unknown[], ExportedValue[]>(
        `SELECT ${list}, ${keyed} FROM "${name}" WHERE ${inForceOnly[name] ?? true} ${where} ORDER BY ${keyed} LIMIT ${partRows}`,
      )
      .raw()
  const next = read(`AND (${keyed}) > (${key.map(() => '?').join(', ')})`)
  let rows = read('').all()
  while (rows.length > 0) {
    yield rows.map(row => row.slice(0, columns.length))
    rows = next.all(...(rows.at(-1) ?? []).slice(columns.length))
  }
}

/** A text is data where its table says so itself: a name alone does not tell, as `verdict` is a word in `decisions`. */
function kindOf({ name, type }: Column, made: string): ColumnKind {
  if (yesNo.has(name) && type === 'INTEGER') return 'yes or no'
  if (new RegExp(`json_valid\\("?${name}"?\\)`).test(made)) return 'data'
  if (type !== 'TEXT') return 'number'
  return name.endsWith('_at') || alsoTimes.has(name) ? 'time' : 'text'
}
