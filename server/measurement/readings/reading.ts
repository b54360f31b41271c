// A reading as the meter showed it, parsed once at the edge.

import type { Range } from '../limits/range.ts'
import { formatBound, formatIn, formatQuantity, joined } from './format.ts'
import { readNumber, readUnit, shownName, unitChoices } from './typed.ts'
import { clean, fromBase, getUnit, toBase, type Unit } from './units.ts'

/** Values are in the base unit of their kind ("V AC", "ohm", "A", "m"), never in a prefixed one. */
export type Reading =
  /**
   * `resolution` is one count of the last digit typed, in the same unit. `spread` is the standard uncertainty
   * of a mean of several, from how they scattered; absent for a single reading.
   */
  | { kind: 'value'; value: number; resolution: number; unit: string; spread?: number }
  /** `OL`, "open": over the meter's range, which of a resistance says that the circuit is open. */
  | { kind: 'open'; unit: string }
  /** Nothing there: "none", "no reading". */
  | { kind: 'none'; unit: string }
  /** `>50` */
  | { kind: 'more than'; value: number; unit: string }
  /** `<0.1`, below what the meter can show. */
  | { kind: 'less than'; value: number; unit: string }
  /** `92-104`: wandered between two values. */
  | { kind: 'unstable'; low: number; high: number; resolution: number; unit: string }

/** The result of parsing the typed text. `ask` wants a choice from the technician, not an error. */
export type ParsedReading =
  | { ok: true; reading: Reading; echo: string }
  | { ok: false; ask: Question }
  | { ok: false; error: string }

interface Question {
  question: string
  /** `text` is what to send instead; `means` is what it says. */
  choices: { text: string; means: string }[]
}

type Part = { ok: true; value: number; resolution: number; unit: Unit } | Exclude<ParsedReading, { ok: true }>

const LONGEST = 40
const OPEN = /^(?:\.?[o0]\.?\/?l\.?|open(?: circuit)?|over ?range|over ?load)$/i
const NONE = /^(?:none|nothing|nil|no reading|dead)$/i
/** Two numbers with "to" between, or a dash; the second may be negative after "to". */
const WANDERED = /^(.*?\d[^\d]*?)\s*(?:(?:to|…)\s*([-−–]?\s*[.,]?\d.*)|(?<!\d[eE])[-−–—]\s*([.,]?\d.*))$/i
/** A second sign, or a dash after a signed number: `-5-3`, `92--104`. */
const TWO_SIGNS = /^([-−–+]?\s*[\d.,]+)\s*[-−–]\s*([-−–+]?)\s*([.,]?\d.*)$/
/** A point hit twice: `105..3`. */
const TWO_POINTS = /^([-−–+]?\d+)\.\.(\d+)(\D.*)?$/
const BOUND = /^(<=|>=|[<>≤≥])\s*(\S.*)$/
const ABOUT = /^(?:[~≈∼]|ca\.?|circa|about|approx\.?|approximately|around)\s*(?=[-−–+]?[.,]?\d)/i
/** Nothing shows less, in base units: a nanoampere has a millionth of itself to go. */
const SMALLEST = 1e-15
/** 4k7, 0R08: the prefix in the place of the decimal point. */
const LETTER_POINT = /^(-?)(\d+)([RkKM])(\d+)$/

/**
 * Reads what was typed for a quantity in `unit` (any known symbol; a number
 * without a unit is in it). `usual` is the expected range, which decides whether
 * a bare m or M can be meant as typed. Throws RangeError for an unknown `unit`.
 */
export function parseReading(text: string, unit: string, usual: Range | null = null): ParsedReading {
  const standard = getUnit(unit)
  const typed = text.trim().replace(/[\s\u00a0\u202f]+/g, ' ')
  if (typed === '') return { ok: false, error: `Type the reading, such as ${example(standard)}.` }
  if (typed.length > LONGEST)
    return { ok: false, error: 'This is too long for a reading: type the number and its unit only.' }
  if (OPEN.test(typed)) return special({ kind: 'open', unit: standard.base })
  if (NONE.test(typed)) return special({ kind: 'none', unit: standard.base })
  const bound = BOUND.exec(typed)
  if (bound?.[2]) return boundReading(/[>≥]/.test(bound[1] ?? '') ? '>' : '<', bound[2], standard, usual)
  if (ABOUT.test(typed)) return { ok: false, error: aboutWords(typed) }
  return askTwo(typed, standard) ?? numberOrTwo(typed, standard, usual)
}

function numberOrTwo(typed: string, standard: Unit, usual: Range | null): ParsedReading {
  const plain = readPart(typed, standard, usual)
  if (plain.ok) return single(plain, standard)
  const two = WANDERED.exec(typed)
  const second = two?.[2] ?? two?.[3]
  return two?.[1] && second ? wandered(two[1], second, standard, usual) : plain
}

function aboutWords(typed: string): string {
  return `“${typed}” is about a number: type what the meter shows, or the two values it wanders between, such as 92 to 104.`
}

/** A point or a sign too many is asked about, and never taken for a reading that wandered; null where there is none. */
function askTwo(typed: string, standard: Unit): ParsedReading | null {
  const [, whole = '', part = '', rest = ''] = TWO_POINTS.exec(typed) ?? []
  if (whole)
    return askOf(
      `There are two points in “${typed}”. Which is it?`,
      [`${whole}.${part}${rest}`, `${whole} to ${part}${rest}`],
      standard,
    )
  const [, first = '', sign = '', second = ''] = TWO_SIGNS.exec(typed) ?? []
  const signed = sign !== '' || /^[-−–+]/.test(first)
  if (!first || !signed) return null
  return askOf(
    `There are two signs in “${typed}”. Which is it?`,
    [`${first} to ${second}`, `${first} to -${second}`],
    standard,
  )
}

function askOf(question: string, texts: string[], standard: Unit): ParsedReading {
  const choices = texts.flatMap(text => {
    const read = parseReading(text, standard.symbol)
    return read.ok ? [{ text, means: read.echo }] : []
  })
  return choices.length > 0
    ? { ok: false, ask: { question, choices } }
    : { ok: false, error: `${question} Type one number, or two with “to” between: 92 to 104.` }
}

/** A reading in words, in the unit `shown` or in the one that reads best. */
export function formatReading(reading: Reading, shown?: string): string {
  const told = (value: number, resolution: number) => {
    const step = shownStep(value, resolution)
    return shown ? formatIn(value, reading.unit, shown, step) : formatQuantity(value, reading.unit, step)
  }
  const bound = (value: number) => formatBound(value, { min: null, max: value, unit: reading.unit, shown })
  switch (reading.kind) {
    case 'value':
      return told(reading.value, reading.resolution)
    case 'open':
      return isResistance(reading.unit) ? 'OL (open circuit)' : 'OL (over the meter’s range)'
    case 'none':
      return 'no reading'
    case 'more than':
      return `more than ${bound(reading.value)}`
    case 'less than':
      return `less than ${bound(reading.value)}`
    case 'unstable':
      return stretch(told(reading.low, reading.resolution), told(reading.high, reading.resolution))
  }
}

/** What was worked out has a digit more than the readings it came of (`toShown`), and shows it. */
function shownStep(value: number, resolution: number): number {
  const counts = value / resolution
  return Math.abs(counts - Math.round(counts)) < 1e-6 ? resolution : resolution / 10
}

/** What was worked out, rounded to a tenth of a count: the number shown is the one judged. */
export function toShown(value: number, resolution: number): number {
  return clean(Number((Math.round((value * 10) / resolution) * (resolution / 10)).toPrecision(12)))
}

/** Over the range of an ohmmeter there is no circuit; over that of any other, only more than it shows. */
export function isResistance(unit: string): boolean {
  return unit === 'ohm' || unit === 'ohm AC'
}

/** "92 to 104 V AC": the unit once, where both ends have the same. */
function stretch(low: string, high: string): string {
  const unit = (text: string) => text.slice(text.indexOf('\u00a0') + 1)
  return unit(low) === unit(high) ? `${low.split('\u00a0')[0]} to ${high}` : `${low} to ${high}`
}

function special(reading: Reading): ParsedReading {
  return { ok: true, reading, echo: formatReading(reading) }
}

function single(part: Extract<Part, { ok: true }>, standard: Unit): ParsedReading {
  const { value, resolution, unit } = part
  const reading: Reading = { kind: 'value', value, resolution, unit: unit.base }
  return { ok: true, reading, echo: echo(reading, unit, standard) }
}

/** In the unit as typed; and in the one asked for, where that is another. */
function echo(reading: Reading, typed: Unit, standard: Unit): string {
  const shownAsTyped = formatReading(reading, typed.symbol)
  const size = 'value' in reading ? Math.abs(fromBase(reading.value, standard)) : 0
  const readable = size >= 0.001 && size < 100_000 && typed.symbol !== standard.symbol
  return readable ? `${shownAsTyped} (${formatReading(reading, standard.symbol)})` : shownAsTyped
}

function boundReading(mark: '>' | '<', rest: string, standard: Unit, usual: Range | null): ParsedReading {
  const part = readPart(rest, standard, usual)
  if (!part.ok) return 'ask' in part ? { ok: false, ask: prefixed(part.ask, mark) } : part
  const reading: Reading = {
    kind: mark === '>' ? 'more than' : 'less than',
    value: part.value,
    unit: part.unit.base,
  }
  return { ok: true, reading, echo: echo(reading, part.unit, standard) }
}

function prefixed(ask: Question, mark: string): Question {
  const choices = ask.choices.map(({ text, means }) => ({
    text: mark + text,
    means: `${mark}\u00a0${means}`,
  }))
  return { ...ask, choices }
}

function wandered(first: string, second: string, standard: Unit, usual: Range | null): ParsedReading {
  const marks = bothMarked(first, second, standard)
  if (marks) return marks
  // A unit given once is that of both.
  const given = hasUnit(second) ? null : unitOf(first, standard, usual)
  if (given && !given.ok) return 'ask' in given ? { ok: false, ask: joinedFrom(given.ask, second) } : given
  const to = readPart(second, given?.unit ?? standard, usual)
  if (!to.ok) return 'ask' in to ? { ok: false, ask: joinedTo(first, to.ask) } : to
  const from = readPart(first, to.unit, usual)
  if (!from.ok) return 'ask' in from ? { ok: false, ask: joinedFrom(from.ask, second) } : from
  const low = Math.min(from.value, to.value)
  const high = Math.max(from.value, to.value)
  const resolution = Math.min(from.resolution, to.resolution)
  if (low === high) return single({ ...to, resolution }, standard)
  const reading: Reading = { kind: 'unstable', low, high, resolution, unit: to.unit.base }
  return { ok: true, reading, echo: echo(reading, to.unit, standard) }
}

/** `1,234-1,300`: the comma is the same in both, and is asked about once. */
function bothMarked(first: string, second: string, standard: Unit): ParsedReading | null {
  const [one, two] = [readNumber(first.trim()), readNumber(second.trim())]
  if (one.kind !== 'ask' || two.kind !== 'ask') return null
  const texts = one.choices.map((choice, at) => `${choice} to ${two.choices[at]}`)
  return askOf(commaQuestion, texts, standard)
}

function hasUnit(text: string): boolean {
  const number = readNumber(text.trim())
  return number.kind !== 'number' || number.rest !== ''
}

function unitOf(text: string, standard: Unit, usual: Range | null): Part | null {
  return hasUnit(text) ? readPart(text, standard, usual) : null
}

function joinedFrom(ask: Question, second: string): Question {
  const choices = ask.choices.map(({ text, means }) => ({
    text: `${text} to ${second.trim()}`,
    means: `${means} to ${second.trim()}`,
  }))
  return { ...ask, choices }
}

function joinedTo(first: string, ask: Question): Question {
  const choices = ask.choices.map(({ text, means }) => ({
    text: `${first.trim()} to ${text}`,
    means: `${first.trim()} to ${means}`,
  }))
  return { ...ask, choices }
}

function readPart(text: string, standard: Unit, usual: Range | null): Part {
  const typed = text.trim()
  const lettered = standard.base === 'ohm' ? LETTER_POINT.exec(typed) : null
  if (lettered) {
    const [, sign, whole, letter, decimals] = lettered
    return readPart(
      `${sign}${whole}.${decimals} ${letter === 'R' ? '' : letter?.replace('K', 'k')}Ω`,
      standard,
      usual,
    )
  }
  const number = readNumber(typed)
  if (number.kind === 'error') return { ok: false, error: number.error }
  if (number.kind === 'ask') return { ok: false, ask: askMark(number.choices, standard, usual) }
  const unit = readUnit(number.rest, number.value, standard, usual)
  if (unit.kind === 'error') return { ok: false, error: unit.error }
  if (unit.kind === 'ask') return { ok: false, ask: askPrefix(typed, number.value, unit.typed, unit.units) }
  return inBase(number.value, number.resolution, unit.unit)
}

function inBase(value: number, resolution: number, unit: Unit): Part {
  const base = toBase(value, unit)
  if (Math.abs(base) > 1e15)
    return { ok: false, error: 'This number is too large to be a reading: type what the meter shows.' }
  if (base !== 0 && Math.abs(base) < SMALLEST)
    return { ok: false, error: 'This number is too small to be a reading: type what the meter shows.' }
  if (unit.base === '°C' && base < -273.15)
    return {
      ok: false,
      error: `${joined(String(base), unit)} cannot be: nothing is colder than −273.15\u00a0°C.`,
    }
  return { ok: true, value: base, resolution: toBase(resolution, unit), unit }
}

function askMark(texts: string[], standard: Unit, usual: Range | null): Question {
  const choices = texts.map(text => {
    const read = readPart(text, standard, usual)
    return {
      text,
      means: read.ok ? formatIn(read.value, read.unit.base, read.unit.symbol, read.resolution) : text,
    }
  })
  return { question: commaQuestion, choices }
}

const commaQuestion = 'Is the comma in it a decimal point, or does it mark thousands?'

function askPrefix(typed: string, value: number, letter: string, units: Unit[]): Question {
  const digits = typed.slice(0, typed.length - letter.length).trim()
  return {
    question: `m is milli, a thousandth; M is mega, a million. Which is meant by "${typed}"?`,
    choices: unitChoices(digits, value, units),
  }
}

function example(unit: Unit): string {
  return unit.shown === '' ? '0.95' : `96.4 ${shownName(unit)}`
}
