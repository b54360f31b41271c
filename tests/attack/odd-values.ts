// Every stored text and time filled with what is odd but can be stored, and every page drawn on it.

import type { Database } from '../../server/storage/engine/database.ts'
import { recorderOf } from '../../server/storage/engine/trail-recorder.ts'
import { type EveryPage, everyPage, type MetPage } from '../browser/every-page.ts'
import type { Visitor } from '../support/visitor.ts'

/** What might stand where a time or words are expected; none of it holds a NUL, which no form lets through. */
export const oddValues: Record<string, string> = {
  'a year without its century': '0026-11-27T10:00:00.000Z',
  'a day without its century': '0026-11-27',
  'the last year there is': '9999-12-31T23:59:59.999Z',
  'a year of six figures': '+275760-09-13T00:00:00.000Z',
  'a day that is none': '2026-02-31T25:61:00.000Z',
  nothing: '',
  'words that run from right to left': '\u202eשלום\u202c',
  'very long words': 'x'.repeat(60_000),
  markup: '<script>"\'&amp;\u0007',
}

interface Column {
  table: string
  name: string
  keys: string[]
}

export interface OddResult {
  /** How many pages were drawn on odd values. */
  tried: number
  /** How many columns took at least one of them. */
  columns: number
  /** What was stored where, which page, and how it was answered. */
  failures: string[]
}

/** Tables that say who may see a page at all, and what the program keeps about itself. */
const leftOut = new Set(['sessions', 'tablets', 'trail', 'migrations', 'sent_forms', 'setup_codes'])

/**
 * Draws every page with each odd value: in all columns that take it at once, or, with `each`, in one after another.
 * Whatever a page shows, it must not fail.
 */
export async function drawOddValues({
  each = false,
  values = Object.keys(oddValues),
} = {}): Promise<OddResult> {
  const all = await everyPage()
  const visitors = await visitorsOf(all)
  const { db } = all.site
  const columns = textColumns(db)
  dropGuards(db)
  const result: OddResult = { tried: 0, columns: 0, failures: [] }
  const took = new Set<Column>()
  for (const name of values) {
    for (const group of each ? columns.map(one => [one]) : [columns]) {
      const restore = group.map(column => fill(db, column, oddValues[name] ?? ''))
      group.forEach((column, n) => {
        if (restore[n]) took.add(column)
      })
      if (restore.some(Boolean)) {
        recorderOf(db).rolledBack()
        const where = each ? `${group[0]?.table}.${group[0]?.name}` : 'everywhere'
        await draw(all, visitors, `${name} in ${where}`, result)
      }
      for (const put of restore) put?.()
    }
  }
  recorderOf(db).rolledBack()
  return { ...result, columns: took.size }
}

async function visitorsOf({ site, pages }: EveryPage): Promise<Map<MetPage['who'], Visitor>> {
  const visitors = new Map<MetPage['who'], Visitor>([[null, site.visitor()]])
  for (const { who } of pages) if (who && !visitors.has(who)) visitors.set(who, await site.as(who))
  return visitors
}

async function draw(
  { site, pages }: EveryPage,
  visitors: Map<MetPage['who'], Visitor>,
  what: string,
  result: OddResult,
): Promise<void> {
  let why = ''
  site.deps.log.error = (told: unknown) => {
    why = String((told as { err?: Error }).err?.stack ?? '')
  }
  for (const { who, address } of pages) {
    const answer = await visitors.get(who)?.get(address)
    result.tried += 1
    if (!answer || answer.status >= 500)
      result.failures.push(`${what}: ${address} was answered ${answer?.status}: ${why}`)
  }
}

/** Columns of words and times: no keys, no references, no secrets, nothing the program reads as JSON. */
function textColumns(db: Database): Column[] {
  const tables = db
    .prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%'")
    .pluck()
    .all()
  return tables
    .filter(table => !leftOut.has(table))
    .flatMap(table => {
      const info = db
        .prepare<[string], { name: string; type: string; pk: number; hidden: number }>(
          'SELECT name, type, pk, hidden FROM pragma_table_xinfo(?)',
        )
        .all(table)
      const references = db
        .prepare<[string], string>('SELECT "from" FROM pragma_foreign_key_list(?)')
        .pluck()
        .all(table)
      const keys = info.filter(({ pk }) => pk > 0).map(({ name }) => name)
      return info
        .filter(
          ({ name, type, pk, hidden }) =>
            type === 'TEXT' && pk === 0 && hidden === 0 && !references.includes(name),
        )
        .filter(({ name }) => !isCode(db, table, name))
        .map(({ name }) => ({ table, name, keys }))
    })
}

const codes = /_hash$|^(tree|check|equipment|cause|sha256|path|outcome|from_check|to_check|item_key)$/

/** What names something in the program or the knowledge, or is JSON: no words of a person's and no time. */
function isCode(db: Database, table: string, name: string): boolean {
  if (codes.test(name)) return true
  const sample = db.prepare<[], string>(
    `SELECT "${name}" FROM "${table}" WHERE "${name}" IS NOT NULL LIMIT 1`,
  )
  const value = sample.pluck().get()
  return value !== undefined && /^[[{]/.test(value)
}

/** The triggers that hold the record, and those that write the trail: what is tried here came from elsewhere. */
function dropGuards(db: Database): void {
  for (const schema of ['main', 'temp']) {
    const table = schema === 'main' ? 'sqlite_schema' : 'sqlite_temp_schema'
    const names = db.prepare<[], string>(`SELECT name FROM ${table} WHERE type = 'trigger'`).pluck().all()
    for (const name of names) db.exec(`DROP TRIGGER ${schema}."${name}"`)
  }
}

/** Fills the column, in every row or else in one; gives how to undo it, or null when it takes no such value. */
function fill(db: Database, { table, name, keys }: Column, value: string): (() => void) | null {
  const all = keys.map(key => `"${key}"`).join(', ')
  const rows = db.prepare<[], unknown[]>(`SELECT ${all}, "${name}" FROM "${table}"`).raw().all()
  const ofKey = keys.map(key => `"${key}" = ?`).join(' AND ')
  const one = db.prepare(`UPDATE "${table}" SET "${name}" = ? WHERE ${ofKey}`)
  const put = (row: unknown[], text: unknown) => one.run(text, ...row.slice(0, keys.length))
  const first = rows[0]
  if (!first) return null
  const undo = () => {
    // On the way back two columns that are held against each other stand as they did only at the end.
    db.pragma('ignore_check_constraints = ON')
    for (const row of rows) put(row, row[keys.length])
    db.pragma('ignore_check_constraints = OFF')
  }
  for (const some of [rows, [first]]) {
    try {
      for (const row of some) put(row, value)
      return undo
    } catch {
      undo()
    }
  }
  return null
}
