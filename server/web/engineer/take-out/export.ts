import { AppError } from '../../../errors.ts'
import { csvRecord } from '../../../exchange/write-csv.ts'
import { createZonedTime } from '../../../exchange/zoned-time.ts'
import type { ExportedValue, ExportTable } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { page, streamed } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { exportedTable } from './export-tables.ts'

/** Every table with what its columns hold, and where to take it. */
export const index = (deps: Deps) => () => {
  const tables = takenOutTables(deps)
  return page('engineer/take-out/export', {
    title: 'Take out',
    desk: true,
    tables: tables.map(exportedTable),
    timeZone: deps.config.timeZone,
  })
}

/** `<table>.csv` or `<table>.json`, written out as it is read; `?mark=yes` puts a byte mark before a CSV. */
export const show = (deps: Deps) => async (req: Request) => {
  const [, name = '', form = ''] = /^([a-z_]{1,60})\.(csv|json)$/.exec(String(req.params.file)) ?? []
  if (!form) throw new AppError('not found', 'Tables are taken out as .csv or .json.')
  const table = withFactUnits(deps.storage.exports.get(name))
  if (form === 'json') return streamed(`${name}.json`, 'application/json', jsonParts(deps, table))
  const parts = csvParts(deps, table, req.query.mark === 'yes')
  return streamed(`${name}.csv`, 'text/csv; charset=utf-8; header=present', parts)
}

/** Every table that is taken out, with what its columns hold. */
export function takenOutTables(deps: Deps): ExportTable[] {
  return deps.storage.exports.list().map(withFactUnits)
}

/** A table as CSV, a part at a time; `mark`: with a byte mark first. */
export function csvParts(deps: Deps, table: ExportTable, mark: boolean): AsyncGenerator<string> {
  return csvOf(table, rowsOf(deps, table), mark)
}

/** A table as JSON, a part at a time. */
export function jsonParts(deps: Deps, table: ExportTable): AsyncGenerator<string> {
  return jsonOf(table, rowsOf(deps, table))
}

type Shaped = string | number | boolean | null | object

async function* csvOf(
  table: ExportTable,
  parts: AsyncGenerator<Shaped[][]>,
  mark: boolean,
): AsyncGenerator<string> {
  yield (mark ? '\ufeff' : '') + csvRecord(table.columns.map(column => column.name))
  for await (const rows of parts) yield rows.map(row => csvRecord(row.map(csvCell))).join('')
}

/** One object a line, so that it can be read a line at a time too. */
async function* jsonOf(table: ExportTable, parts: AsyncGenerator<Shaped[][]>): AsyncGenerator<string> {
  const names = table.columns.map(column => column.name)
  let separator = '[\n'
  for await (const rows of parts) {
    yield separator +
      rows.map(row => JSON.stringify(Object.fromEntries(row.map((cell, n) => [names[n], cell])))).join(',\n')
    separator = ',\n'
  }
  yield separator === '[\n' ? '[]\n' : '\n]\n'
}

function csvCell(value: Shaped): string | number | null {
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  return value !== null && typeof value === 'object' ? JSON.stringify(value) : value
}

/** The rows of a table with times in the depot's zone, yes and no as such, and data as data. */
async function* rowsOf(deps: Deps, table: ExportTable): AsyncGenerator<Shaped[][]> {
  const zoned = createZonedTime(deps.config.timeZone)
  const facts = table.name === 'position_facts' ? factNumbers(deps) : null
  for (const rows of deps.storage.exports.parts(table.name)) {
    yield rows.map(row => {
      const shaped: Shaped[] = row.map((value, n) => shape(value, table.columns[n]?.kind, zoned))
      return facts ? [...shaped, ...facts(row)] : shaped
    })
    await new Promise<void>(resolve => deps.host.whenIdle(resolve))
  }
}

function shape(value: ExportedValue, kind: string | undefined, zoned: (utc: string) => string): Shaped {
  if (value === null) return null
  if (kind === 'time') return zoned(String(value))
  if (kind === 'yes or no') return value === 1
  return kind === 'data' ? (JSON.parse(String(value)) as object) : value
}

/** A fact's unit is in the knowledge, not in the table. */
function withFactUnits(table: ExportTable): ExportTable {
  if (table.name !== 'position_facts') return table
  const number = {
    name: 'number',
    kind: 'number' as const,
    about: 'The value normalised: its number; empty for words',
  }
  const unit = {
    name: 'unit',
    kind: 'text' as const,
    about: 'Unit of number, from the fault trees in use now',
  }
  return { ...table, columns: [...table.columns, number, unit] }
}

function factNumbers(deps: Deps): (row: ExportedValue[]) => [number | null, string | null] {
  const { equipment } = deps.library.current().knowledge
  const units = new Map([...equipment.values()].flatMap(one => one.facts).map(fact => [fact.name, fact.unit]))
  return ([, fact, value]) => {
    const unit = units.get(String(fact)) ?? null
    const number = Number(
      String(value)
        .replace(',', '.')
        .replace(unit ?? '', '')
        .trim(),
    )
    return unit !== null && Number.isFinite(number) ? [number, unit] : [null, null]
  }
}
