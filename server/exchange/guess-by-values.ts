// Which column is what, where its name does not say it: by what stands below it.

import { parseDate } from './parse-date.ts'
import { bare, type Field } from './subjects.ts'
import { type Row, type Table, textOf } from './table.ts'

/** So many rows are looked at. */
const sampled = 200

/** Names on record or in the fault trees, by field, as `bare` gives them. */
export type KnownNames = ReadonlyMap<string, ReadonlySet<string>>

/**
 * Columns for fields that have none in `columns`, from those that no field has: by names that are known, by dates, by
 * serial numbers. What is yes or no may be about anything, and is asked for. Nothing where two columns would do as well.
 */
export function guessByValues(
  wanted: Field[],
  table: Pick<Table, 'header' | 'rows'>,
  columns: Record<string, number>,
  known: KnownNames,
): Record<string, number> {
  const found: Record<string, number> = {}
  const taken = new Set(Object.values(columns))
  const rows = table.rows.slice(0, sampled)
  const free = () => table.header.map((_, at) => at).filter(at => !taken.has(at))
  const take = (field: Field, at: number | undefined) => {
    if (at === undefined) return
    found[field.name] = at
    taken.add(at)
  }
  const open = wanted.filter(({ name }) => columns[name] === undefined)
  for (const field of open) take(field, columnFor(field, rows, free(), known))
  return found
}

function columnFor(field: Field, rows: Row[], free: number[], known: KnownNames): number | undefined {
  const { name, kind, required } = field
  const named = only(free, at => isKnown(rows, at, known.get(name)))
  if (named !== undefined) return named
  if (required && (kind === 'date' || kind === 'day')) {
    const dates = free.filter(at => isDates(rows, at))
    return earliest(rows, dates)
  }
  return name === 'serial' ? only(free, at => isSerials(rows, at)) : undefined
}

function only(columns: number[], fits: (at: number) => boolean): number | undefined {
  const fitting = columns.filter(fits)
  return fitting.length === 1 ? fitting[0] : undefined
}

/** What share of the cells that say anything says it so; 0 where none does. */
function share(rows: Row[], at: number, holds: (text: string) => boolean): number {
  const texts = rows.map(({ cells }) => textOf(cells[at]).trim()).filter(text => text !== '')
  return texts.length === 0 ? 0 : texts.filter(holds).length / texts.length
}

function isKnown(rows: Row[], at: number, names: ReadonlySet<string> | undefined): boolean {
  return names !== undefined && names.size > 0 && share(rows, at, text => names.has(bare(text))) >= 0.6
}

/** Figures alone are no dates here: they are as likely numbers of something. */
function isDates(rows: Row[], at: number): boolean {
  const isDate = (text: string) =>
    /\D/.test(text) && (parseDate(text, 'day first').ok || parseDate(text, 'month first').ok)
  return share(rows, at, isDate) >= 0.9
}

/** Of several columns of dates the first event: a fault is reported before it is put right. */
function earliest(rows: Row[], columns: number[]): number | undefined {
  const [first, ...others] = columns
  if (first === undefined || others.length === 0) return first
  const dayAt = ({ cells }: Row, at: number) => {
    const parsed = parseDate(textOf(cells[at]).trim(), 'day first')
    return parsed.ok ? (parsed.zoned ?? parsed.local) : null
  }
  const isBefore = (one: number, other: number) =>
    rows.every(row => {
      const [a, b] = [dayAt(row, one), dayAt(row, other)]
      return a === null || b === null || a <= b
    })
  return only(columns, one =>
    columns.every(other => other === one || (isBefore(one, other) && !isBefore(other, one))),
  )
}

/** Each another, with a figure in it and no space. */
function isSerials(rows: Row[], at: number): boolean {
  const texts = rows.map(({ cells }) => textOf(cells[at]).trim()).filter(text => text !== '')
  const distinct = new Set(texts.map(text => text.toLowerCase()))
  return (
    texts.length > 1 &&
    distinct.size === texts.length &&
    share(rows, at, text => /^\S*\d\S*$/.test(text)) === 1
  )
}
