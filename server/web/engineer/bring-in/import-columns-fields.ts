// What the page of columns asks and offers, in words.

import type { Field } from '../../../exchange/subjects.ts'
import {
  type Delimiter,
  delimiters,
  type Encoding,
  encodings,
  type Table,
  textOf,
} from '../../../exchange/table.ts'
import { capitalize } from '../../../words.ts'
import { row, type Table as ShownTable } from '../../partials.ts'

const delimiterNames: Record<Delimiter, string> = {
  ',': 'comma',
  ';': 'semicolon',
  '\t': 'tab',
  '|': 'upright stroke',
}
const encodingNames: Record<Encoding, string> = {
  'utf-8': 'UTF-8',
  'utf-16le': 'UTF-16, low byte first',
  'utf-16be': 'UTF-16, high byte first',
  'windows-1252': 'Windows-1252',
}
const sampleRows = 5
const longestSample = 60

/** How the file was read, and how else it may be. */
export function readingChoices({ encoding, delimiter, sheets }: Table) {
  return {
    encodingName: encoding && encodingNames[encoding],
    delimiterName: delimiter && delimiterNames[delimiter],
    encodings: encodings.map(value => ({ value, label: encodingNames[value] })),
    delimiters: delimiters.map(value => ({ value, label: delimiterNames[value] })),
    sheets: sheets.map(value => ({ value, label: value })),
  }
}

/**
 * A question for each field: which column is it? The fields' values are numbers of columns, from 0. `fields`: those that
 * are wanted or were found; `more`: the others.
 */
export function columnFields(fields: Field[], chosen: Record<string, number>, fixed: Record<string, string>) {
  const asked = fields.map((field, n) => ({
    id: `column${n}`,
    label: capitalize(field.title) + wantedWords(field),
    about: field.about,
    value: String(chosen[field.name] ?? ''),
    fixed: field.mayBeFixed ? { id: `fixed${n}`, value: fixed[field.name] ?? '' } : null,
    first: field.required || field.forNew === true || chosen[field.name] !== undefined || field.name in fixed,
  }))
  return { fields: asked.filter(one => one.first), more: asked.filter(one => !one.first) }
}

function wantedWords({ required, forNew }: Field): string {
  if (required) return ''
  return forNew ? ' (wanted for new ones)' : ' (if there)'
}

/** The rows that were taken for no part of the table: "line 1: “Assets of the depot”". */
export function skippedWords({ skipped }: Table): string[] {
  return skipped.map(({ line, cells }) => {
    const words = cells.map(textOf).filter(text => text.trim() !== '')
    return `line ${line}: “${shortened(words.join(' · '))}”`
  })
}

export function columnChoices({ header }: Table) {
  const named = header.map((name, n) => ({ value: String(n), label: columnName(name, n) }))
  return [{ value: '', label: 'not in the file' }, ...named]
}

export function sampleTable({ header, rows }: Table): ShownTable {
  return {
    caption: 'The first rows as they were read',
    columns: header.map((name, n) => ({ text: columnName(name, n) })),
    rows: rows
      .slice(0, sampleRows)
      .map(({ cells }) => row(...header.map((_, n) => shortened(textOf(cells[n]))))),
  }
}

function columnName(name: string, n: number): string {
  return name || `column ${n + 1}`
}

function shortened(text: string): string {
  return text.length > longestSample ? `${text.slice(0, longestSample)}…` : text
}
