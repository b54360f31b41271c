import { z } from 'zod'
import {
  type Instrument,
  type InstrumentFunction,
  instrumentProblems,
  type Method,
} from '../../../measurement/instruments/instrument.ts'
import { findUnit, nearestUnit } from '../../../measurement/readings/units.ts'
import { type FormErrors, name, words } from '../../host/read-form.ts'

export const methods: Method[] = ['direct', '2-wire', '4-wire', 'volt drop under load']
const MOST_FUNCTIONS = 24
const LEAST_ROWS = 6
const columns = ['unit', 'range', 'percent', 'counts', 'resolution', 'method', 'test', 'frequency'] as const
type Row = Record<(typeof columns)[number], string>

/** A day as a date field gives it. */
export const dueDay = words('Give the last day it is in date.', 10).refine(
  text => /^\d{4}-\d{2}-\d{2}$/.test(text) && !Number.isNaN(Date.parse(text)),
  'Give the day as year, month and day, such as 2027-03-31.',
)

export const naming = z.object({
  kind: name('Say what kind of instrument it is.', 80),
  serial: name('Read its serial number off the instrument.', 60),
})

/** The rows of a form as typed: those filled in and a few empty ones. */
export function rowsOf(values: Record<string, unknown>): Row[] {
  const rows = Array.from({ length: MOST_FUNCTIONS }, (_, at) => rowAt(values, at))
  const last = rows.findLastIndex(filled)
  return rows.slice(0, Math.min(MOST_FUNCTIONS, Math.max(LEAST_ROWS, last + 3)))
}

/** What an instrument has on record, as the fields that say it. */
export function fieldsOfFunctions(functions: InstrumentFunction[]): Record<string, string> {
  return Object.fromEntries(
    functions.flatMap(({ unit, range, accuracy, method, testVoltage, frequency }, at) =>
      Object.entries({
        unit,
        method,
        range: String(range),
        test: testVoltage ? String(testVoltage) : '',
        frequency: frequency ? frequencyText(frequency) : '',
        percent: String(accuracy.percent),
        counts: String(accuracy.counts),
        resolution: String(accuracy.resolution),
      }).map(([name, text]) => [`${name}${at}`, text]),
    ),
  )
}

/** The functions typed, or errors by field. At least one is wanted. */
export function readFunctions(
  values: Record<string, unknown>,
): { functions: InstrumentFunction[] } | { errors: FormErrors } {
  const errors: FormErrors = {}
  const rows = rowsOf(values).flatMap((row, at) => (filled(row) ? [{ row, at }] : []))
  if (rows.length === 0)
    errors.unit0 = 'Give at least one function: what it measures and how far it may be off.'
  const functions = rows.map(({ row, at }) => functionOf(row, at, errors))
  if (Object.keys(errors).length > 0) return { errors }
  rows.forEach(({ at }, index) => {
    const one = functions[index]
    const [problem] = one ? instrumentProblems(alone(one)) : []
    if (problem) errors[`range${at}`] = problem.replace(/^Function 1 \(.*?\): /, '')
  })
  return Object.keys(errors).length > 0 ? { errors } : { functions }
}

function alone(one: InstrumentFunction): Instrument {
  return { id: '', kind: '', serial: '', calibrationDue: null, functions: [one] }
}

function functionOf(row: Row, at: number, errors: FormErrors): InstrumentFunction {
  const number = (name: keyof Row, missing: string) => {
    const value = row[name] === '' ? Number.NaN : Number(row[name].replace(',', '.'))
    if (!Number.isFinite(value)) errors[`${name}${at}`] = missing
    return value
  }
  const unit = unitIn(row.unit)
  if (unit.error) errors[`unit${at}`] = unit.error
  return {
    unit: unit.symbol,
    range: number('range', 'Give the top of the range as a number.'),
    accuracy: {
      percent: number('percent', 'Give the percent of the reading as a number; 0 where there is none.'),
      counts: number('counts', 'Give the counts as a number; 0 where there are none.'),
      resolution: number('resolution', 'Give one count of the last digit, in the unit.'),
    },
    method: methods.find(method => method === row.method) ?? 'direct',
    testVoltage:
      row.test === '' ? null : number('test', 'Give the test voltage in volts, or leave it empty.'),
    frequency: frequencyIn(row.frequency, message => {
      errors[`frequency${at}`] = message
    }),
  }
}

/** `45 to 400`, in hertz; null where nothing is typed or it is wrong. */
function frequencyIn(text: string, wrong: (message: string) => void): InstrumentFunction['frequency'] {
  if (text === '') return null
  const match = /^(\d{1,9}(?:\.\d{1,3})?)(?: ?(?:to|-|–) ?(\d{1,9}(?:\.\d{1,3})?))?$/.exec(text)
  const from = Number(match?.[1] ?? Number.NaN)
  const to = match?.[2] === undefined ? from : Number(match[2])
  if (from <= to) return { from, to }
  wrong('Give the frequencies in hertz, such as 45 to 400; 0 for DC; or leave it empty.')
  return null
}

function frequencyText({ from, to }: { from: number; to: number }): string {
  return from === to ? String(from) : `${from} to ${to}`
}

function unitIn(text: string): { symbol: string; error: string | null } {
  const unit = findUnit(text)
  if (unit?.base === 'V') return { symbol: '', error: 'Say V AC or V DC: the two are kept apart.' }
  if (unit) return { symbol: unit.symbol, error: null }
  const near = nearestUnit(text)
  const hint = near ? `Did you mean ${near.shown}?` : 'Write it as V AC, ohm, Mohm, A or kHz.'
  return { symbol: '', error: `“${text}” is no unit known here. ${hint}` }
}

function rowAt(values: Record<string, unknown>, at: number): Row {
  const text = (name: string) => {
    const sent = values[`${name}${at}`]
    return typeof sent === 'string' ? sent.trim().slice(0, 40) : ''
  }
  return Object.fromEntries(columns.map(name => [name, text(name)])) as Row
}

/** The method alone is always sent, so it does not count. */
function filled({ method: _, ...row }: Row): boolean {
  return Object.values(row).some(text => text !== '')
}
