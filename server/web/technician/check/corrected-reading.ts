import {
  type Accuracy,
  accuracyFor,
  differenceAccuracy,
  type Instrument,
  quotientAccuracy,
} from '../../../measurement/instruments/instrument.ts'
import type { Range } from '../../../measurement/limits/expectation.ts'
import {
  average,
  type Corrected,
  fromVoltDrop,
  leadAdvice,
  withoutLeads,
} from '../../../measurement/readings/corrections.ts'
import { formatQuantity } from '../../../measurement/readings/format.ts'
import { Impossible } from '../../../measurement/readings/impossible.ts'
import { type ParsedReading, parseReading, type Reading } from '../../../measurement/readings/reading.ts'
import type { Correction } from '../../../measurement/readings/taken.ts'
import { getUnit } from '../../../measurement/readings/units.ts'

/** What the reading's fields hold, as typed; all but `text` may be empty. */
export interface TypedParts {
  text: string
  /** Answers the question a text like 1,234 raises. */
  meant?: string | undefined
  /** Readings typed before this one, for a mean. */
  series?: string | undefined
  leads?: 'zeroed' | 'subtract' | '' | undefined
  leadOhms?: string | undefined
  drop?: string | undefined
  current?: string | undefined
}

type Ask = Extract<ParsedReading, { ask: unknown }>['ask']
type ValueReading = Extract<Reading, { kind: 'value' }>

/** A reading with what it was worked out of; `accuracy` where the instrument's own line for it would say nothing. */
export interface WorkedReading {
  ok: true
  /** All that was typed for it, in one line. */
  text: string
  reading: Reading
  correction: Correction | null
  accuracy: ((instrument: Instrument) => Accuracy | null) | null
}

export type ReadWorked =
  | WorkedReading
  | { ok: false; errors: Record<string, string> }
  | { ok: false; ask: Ask }

/** Ends the reading of a form with an error at one field. */
class AtField extends Error {
  readonly field: string
  constructor(field: string, message: string) {
    super(message)
    this.field = field
  }
}

/** Is the reading given as a volt drop and a current? */
export function isByVoltDrop({ drop, current }: TypedParts): boolean {
  return Boolean(drop?.trim() || current?.trim())
}

/** Reads the fields of a reading in `unit`: one number, several, with its leads, or a volt drop and a current. */
export function readWorked(parts: TypedParts, unit: string, range: Range | null): ReadWorked {
  try {
    if (isByVoltDrop(parts)) return fromDrop(parts, unit)
    const several = severalIn(parts)
    if (several.kind === 'ask') return { ok: false, ask: several.ask }
    if (several.kind === 'several') return corrected(meanOf(several.texts, unit, range), parts)
    const parsed = parseReading(parts.meant ?? parts.text, unit, range)
    if (parsed.ok) return corrected(asTyped(parts.text, parsed.reading), parts)
    return 'ask' in parsed ? parsed : { ok: false, errors: { text: parsed.error } }
  } catch (error) {
    if (error instanceof AtField) return { ok: false, errors: { [error.field]: error.message } }
    if (error instanceof Impossible) return { ok: false, errors: { text: error.message } }
    throw error
  }
}

function asTyped(text: string, reading: Reading): WorkedReading {
  return { ok: true, text, reading, correction: null, accuracy: null }
}

function fromDrop(parts: TypedParts, unit: string): WorkedReading {
  const { base } = getUnit(unit)
  if (base !== 'ohm' && base !== 'ohm AC')
    throw new AtField('drop', 'A volt drop over a current is a resistance, and this check asks for another.')
  if (parts.text.trim() || parts.series?.trim())
    throw new AtField('drop', 'Give the reading, or the volt drop and the current: not both.')
  if (parts.leads)
    throw new AtField('leads', 'With the volt drop under load no lead resistance comes in: take this out.')
  const drop = valueAt('drop', parts.drop, base === 'ohm' ? 'V DC' : 'V AC')
  const current = valueAt('current', parts.current, 'A')
  const { reading, working } = attempt('current', () => fromVoltDrop(drop, current))
  const typed = [
    { what: 'volt drop', text: parts.drop ?? '' },
    { what: 'current', text: parts.current ?? '' },
  ]
  return {
    ok: true,
    text: `${parts.drop?.trim()} ÷ ${parts.current?.trim()}`,
    reading,
    correction: { steps: ['volt drop under load'], typed, working: [working], advice: null },
    accuracy: instrument => quotientAccuracy(instrument, drop, current),
  }
}

function meanOf(texts: string[], unit: string, range: Range | null): WorkedReading {
  const readings = texts.map((text, at) => oneOfSeveral(text, at + 1, unit, range))
  const { reading, working, within, deviation } = average(readings)
  const spread =
    deviation === 0
      ? 'all alike'
      : `the true mean lies within ±${formatQuantity(Number(within.toPrecision(2)), reading.unit)} of it in 95 of 100 such series`
  return {
    ok: true,
    text: texts.join('; '),
    reading,
    correction: {
      steps: ['mean of several'],
      typed: texts.map((text, at) => ({ what: `reading ${at + 1}`, text })),
      working: [`${working}; ${spread}`],
      advice: null,
    },
    accuracy: null,
  }
}

function oneOfSeveral(text: string, number: number, unit: string, range: Range | null): ValueReading {
  const parsed = parseReading(text, unit, range)
  if (parsed.ok && parsed.reading.kind === 'value') return parsed.reading
  if (parsed.ok)
    throw new AtField('text', `Reading ${number}, “${text}”, is no number, so it has no mean: type it alone.`)
  const why = 'error' in parsed ? parsed.error : `${parsed.ask.question} Type it out, with its unit.`
  throw new AtField('text', `Reading ${number}, “${text}”: ${why}`)
}

/** The leads taken off, or noted as zeroed. */
function corrected(worked: WorkedReading, parts: TypedParts): WorkedReading {
  const given = parts.leadOhms?.trim() ?? ''
  if (given && parts.leads !== 'subtract')
    throw new AtField('leads', 'A lead resistance is given: say that it is to be subtracted, or clear it.')
  if (!parts.leads) return worked
  const { reading } = worked
  if (reading.unit !== 'ohm') throw new AtField('leads', 'Leads matter to a resistance only: take this out.')
  if (parts.leads === 'zeroed')
    return withStep(worked, 'leads zeroed', [], ['Leads zeroed before the reading'], null)
  if (reading.kind !== 'value')
    throw new AtField('leads', 'Leads can be subtracted from a number only: take this out.')
  const leads = valueAt('leadOhms', given, 'ohm')
  const done: Corrected = attempt('leadOhms', () => withoutLeads(reading, leads.value))
  const typed = [{ what: 'leads', text: given }]
  const less = withStep(worked, 'leads subtracted', typed, [done.working], leadAdvice(leads.value))
  return {
    ...less,
    reading: done.reading,
    accuracy: instrument =>
      differenceAccuracy(instrument, reading, leads) ?? accuracyFor(instrument, reading),
  }
}

function withStep(
  worked: WorkedReading,
  step: Correction['steps'][number],
  typed: Correction['typed'],
  working: string[],
  advice: string | null,
): WorkedReading {
  const { correction, text } = worked
  const base = correction ?? { steps: [], typed: [{ what: 'reading', text }], working: [], advice: null }
  return {
    ...worked,
    correction: {
      steps: [...base.steps, step],
      typed: [...base.typed, ...typed],
      working: [...base.working, ...working],
      advice,
    },
  }
}

function valueAt(field: string, text: string | undefined, unit: string): ValueReading {
  const parsed = parseReading(text ?? '', unit)
  if (parsed.ok && parsed.reading.kind === 'value') return parsed.reading
  if (parsed.ok) throw new AtField(field, 'A number is needed here: type what the meter shows.')
  if ('error' in parsed) throw new AtField(field, parsed.error)
  const choices = parsed.ask.choices.map(choice => choice.means).join(', or ')
  throw new AtField(field, `${parsed.ask.question} Type it out: ${choices}.`)
}

function attempt<T>(field: string, work: () => T): T {
  try {
    return work()
  } catch (error) {
    throw error instanceof Impossible ? new AtField(field, error.message) : error
  }
}

/** One text, several, or a question back: `1 234` may be either. */
export type Several =
  | { kind: 'one' }
  | { kind: 'several'; texts: string[] }
  | { kind: 'ask'; ask: { question: string; choices: { text: string; means: string }[] } }

const MOST = 20

/** Readings separated by `;` or by spaces, with those added before; a unit given once at the end is that of all. */
function severalIn(parts: TypedParts): Several {
  const inText = ownTexts(parts.meant ?? parts.text)
  if (inText.kind === 'ask') return inText
  const earlier = earlierTexts(parts.series ?? '')
  const texts = [...earlier, ...inText.texts].filter(text => text !== '')
  if (texts.length < 2) return { kind: 'one' }
  return { kind: 'several', texts: withUnit(texts.slice(0, MOST)) }
}

/** The readings before this one: separated as the page wrote them, or by spaces as one types them. */
function earlierTexts(series: string): string[] {
  const parts = series.split(';').map(text => text.trim())
  return parts.flatMap(part => {
    const own = ownTexts(part)
    return own.kind === 'several' ? own.texts : [part]
  })
}

type Own = { kind: 'several'; texts: string[] } | Extract<Several, { kind: 'ask' }>

function ownTexts(text: string): Own {
  const typed = text.trim().replace(/[\s\u00a0\u202f]+/g, ' ')
  if (typed.includes(';')) return { kind: 'several', texts: typed.split(';').map(part => part.trim()) }
  const texts = typed.split(/ (?=[-−–]?[.,]?\d)/)
  if (texts.length < 2) return { kind: 'several', texts }
  if (!/^[-−–]?\d{1,3}( \d{3})+$/.test(typed))
    return { kind: 'several', texts: isOne(typed) ? [typed] : texts }
  return {
    kind: 'ask',
    ask: {
      question: `Is “${typed}” one number or several readings?`,
      choices: [
        { text: texts.join(''), means: `one number, ${texts.join('')}` },
        { text: texts.join('; '), means: `${texts.length} readings: ${texts.join('; ')}` },
      ],
    },
  }
}

/** `92 - 104` is one reading that wandered. Whether its unit fits is asked later, so any will do here. */
function isOne(typed: string): boolean {
  return parseReading(typed.replace(/[a-zA-ZµΩ²%°]+( AC| DC)?$/, ''), 'V AC').ok
}

function withUnit(texts: string[]): string[] {
  const unitOf = (text: string) => /^[^a-zA-Z]*\d\s*([^\d\s.,+\-−–].*)$/.exec(text)?.[1] ?? ''
  const last = unitOf(texts.at(-1) ?? '')
  const bare = texts.slice(0, -1).every(text => unitOf(text) === '')
  return last && bare ? texts.map((text, at) => (at < texts.length - 1 ? `${text} ${last}` : text)) : texts
}
