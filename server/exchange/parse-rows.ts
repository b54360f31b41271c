// Rows of a file to what they say, each with its line; a row that cannot be taken is named with its reason.

import { temperatureProblem } from '../measurement/readings/air-temperature.ts'
import { nameTrouble, plainName, plainWords } from '../plain-words.ts'
import { type Sense, timeTrouble } from '../times.ts'
import { type DateOrder, parseDate } from './parse-date.ts'
import { type DecimalMark, parseNumber } from './parse-number.ts'
import type { Field } from './subjects.ts'
import { type Cell, type Row, textOf } from './table.ts'
import { isFormula, unguarded } from './write-csv.ts'

export interface HowToRead {
  /** Field name → column, from 0. */
  columns: Record<string, number>
  /** Field name → what holds for every row, where the file has no such column. */
  fixed?: Readonly<Record<string, string>>
  dateOrder: DateOrder
  decimalMark: DecimalMark
  /** A time of the depot's own clock ("2026-03-05T14:30") to UTC; null when there is none such. */
  toUtc(local: string): string | null
  now: Date
  /** By fact name: a number's unit, or the words to choose from. */
  facts: Map<string, { unit: string | null; choices: string[] }>
}

/** By field name; an empty cell says nothing and is left out. Dates are UTC ISO text, days "2026-03-05". */
export interface ParsedRow {
  line: number
  values: Map<string, string>
}

export interface BadRow {
  line: number
  reason: string
}

/** Every row either parsed or bad; a bad row's reasons are all named. */
export function parseRows(
  rows: Row[],
  fields: Field[],
  how: HowToRead,
): { good: ParsedRow[]; bad: BadRow[] } {
  const good: ParsedRow[] = []
  const bad: BadRow[] = []
  for (const row of rows) {
    const { values, reasons } = parseRow(row, fields, how)
    if (reasons.length > 0) bad.push({ line: row.line, reason: `${reasons.join('; ')}.` })
    else good.push({ line: row.line, values })
  }
  return { good, bad }
}

type Parsed = { value: string } | { reason: string }

function parseRow(row: Row, fields: Field[], how: HowToRead) {
  const values = new Map<string, string>()
  const reasons: string[] = []
  for (const field of fields) {
    const column = how.columns[field.name]
    const cell = column === undefined ? (how.fixed?.[field.name] ?? '') : (row.cells[column] ?? '')
    if (textOf(cell).trim() === '') {
      if (field.required) reasons.push(`${field.title} is empty`)
      continue
    }
    const parsed = parseCell(field, withTime(field, cell, row, how), how)
    if ('value' in parsed) values.set(field.name, parsed.value)
    else reasons.push(`${field.title}: ${parsed.reason}`)
  }
  return { values, reasons }
}

/** A date and the time beside it as one text. */
function withTime(field: Field, cell: Cell, row: Row, { columns }: HowToRead): Cell {
  const beside = columns[field.name.replace(/At$/, 'Time')]
  if (field.kind !== 'date' || beside === undefined || !field.name.endsWith('At')) return cell
  const time = row.cells[beside] ?? ''
  // A workbook's time of day is the fraction of a day, or a moment of its first one.
  if (typeof time === 'number' && time >= 0 && time < 1) return `${textOf(cell)} ${clock(time)}`
  const text = textOf(time)
  return text.trim() === '' ? cell : `${textOf(cell)} ${/T(\d\d:\d\d)/.exec(text)?.[1] ?? text.trim()}`
}

function clock(fraction: number): string {
  const minutes = Math.round(fraction * 1440)
  return `${String(Math.floor(minutes / 60)).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')}`
}

function parseCell(field: Field, cell: Cell, how: HowToRead): Parsed {
  if (typeof cell === 'string' && isFormula(cell)) return { reason: 'it begins like a formula' }
  if (typeof cell === 'string' && errorValue.test(cell.trim()))
    return { reason: `it holds the spreadsheet’s error ${cell.trim()}` }
  switch (field.kind) {
    case 'date':
      return dateValue(field, cell, how)
    case 'day':
      return dayValue(field, cell, how)
    case 'temperature':
      return temperatureValue(cell, how)
    case 'yes or no':
      return yesNo(textOf(cell))
    case 'fact':
      return factValue(field, cell, how)
    case 'text':
      return textValue(field, cell)
  }
}

/** What a formula comes to that can't be worked out. */
const errorValue = /^#(REF!|N\/A|VALUE!|DIV\/0!|NAME\?|NUM!|NULL!)$/

function dateValue({ sense }: Field, cell: Cell, { dateOrder, toUtc, now }: HowToRead): Parsed {
  const parsed = parseDate(textOf(cell), dateOrder)
  if (!parsed.ok) return { reason: parsed.reason }
  // What the depot's calendar does not reach is early or late by any zone.
  const utc = parsed.zoned ?? toUtc(parsed.local) ?? `${parsed.local}Z`
  return withinSense(utc, utc, sense, now)
}

/** `value`, unless the moment is out of sense. */
function withinSense(value: string, iso: string, sense: Sense, now: Date): Parsed {
  const trouble = timeTrouble(iso, sense, now)
  return trouble === null ? { value } : { reason: asReason(trouble) }
}

/** A sentence among other reasons. */
function asReason(sentence: string): string {
  return `${sentence.charAt(0).toLowerCase()}${sentence.slice(1).replace(/\.$/, '')}`
}

function dayValue({ sense }: Field, cell: Cell, { dateOrder, now }: HowToRead): Parsed {
  const parsed = parseDate(textOf(cell), dateOrder)
  if (!parsed.ok) return { reason: parsed.reason }
  if (parsed.zoned) return { reason: `“${textOf(cell)}” is a moment, not a day` }
  const day = parsed.local.slice(0, 10)
  return withinSense(day, day, sense, now)
}

function temperatureValue(cell: Cell, { decimalMark }: HowToRead): Parsed {
  const text = textOf(cell).trim()
  const number = parseNumber(typeof cell === 'number' ? cell : text.replace(/\s*°?\s*C$/i, ''), decimalMark)
  if (number === null) return { reason: `“${text.slice(0, 40)}” is no number of °C` }
  const problem = temperatureProblem(Number(number))
  return problem === null ? { value: number } : { reason: problem }
}

const yes = ['yes', 'y', 'true', '1', 'x', 'ja', 'oui']
const no = ['no', 'n', 'false', '0', 'nein', 'non', '-']

function yesNo(text: string): Parsed {
  const said = text.trim().toLowerCase()
  if (yes.includes(said)) return { value: 'yes' }
  return no.includes(said) ? { value: 'no' } : { reason: `“${said.slice(0, 40)}” is neither yes nor no` }
}

function factValue(field: Field, cell: Cell, { facts, decimalMark }: HowToRead): Parsed {
  const fact = facts.get(field.name.slice('fact:'.length))
  const text = textOf(cell).trim()
  if (!fact) return { reason: 'no kind of equipment has this fact' }
  if (fact.unit !== null) {
    // The unit may stand beside the figure.
    const beside = text.toLowerCase().endsWith(fact.unit.toLowerCase())
    const number = parseNumber(beside ? text.slice(0, -fact.unit.length) : cell, decimalMark)
    return number === null
      ? { reason: `“${text.slice(0, 40)}” is no number in ${fact.unit}` }
      : { value: number }
  }
  const choice = fact.choices.find(one => one.toLowerCase() === text.toLowerCase())
  if (fact.choices.length === 0) return { value: plain(text) }
  return choice
    ? { value: choice }
    : { reason: `“${text.slice(0, 40)}” is not one of ${fact.choices.join(', ')}` }
}

/** Names tell rows apart, so that one with something unseen in it is a bad row. */
function textValue({ name }: Field, cell: Cell): Parsed {
  const text = plain(textOf(cell))
  if (!names.includes(name)) return { value: text }
  const trouble = nameTrouble(text)
  return trouble ? { reason: trouble.replace(/\.$/, '') } : { value: plainName(text) }
}

const names = ['name', 'site', 'plate', 'serial', 'reference']

/** As it goes on record, without the apostrophe that guards a formula in our own CSV. */
function plain(text: string): string {
  return unguarded(plainWords(text).trim())
}
