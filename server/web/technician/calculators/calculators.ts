import { AppError } from '../../../errors.ts'
import type { Calculation } from '../../../measurement/electrics/calculators.ts'
import { Impossible } from '../../../measurement/readings/impossible.ts'
import { parseReading } from '../../../measurement/readings/reading.ts'
import { convert, getUnit } from '../../../measurement/readings/units.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { FormErrors } from '../../host/read-form.ts'
import type { Request } from '../../host/request.ts'
import {
  type Calculator,
  type CalculatorField,
  type CalculatorInput,
  calculators,
} from './calculators-list.ts'

type Values = Record<string, string>

/** The sums that can be done outside a walk. */
export const index = (_deps: Deps) => () => {
  return page('technician/calculators/calculators', { title: 'Calculators', calculators })
}

/** One sum. All it needs stands in the address, so that it can be printed, bookmarked and sent on; nothing is written. */
export const show = (_deps: Deps) => (req: Request) => {
  const calculator = calculators.find(one => one.slug === req.params.calculator)
  if (!calculator) throw new AppError('not found', 'There is no such calculator.')
  const asked = calculator.fields.some(({ name }) => typeof req.query[name] === 'string')
  const values = Object.fromEntries(calculator.fields.map(field => [field.name, typedIn(req, field, asked)]))
  const { errors, calculation } = asked ? calculate(calculator, values) : { errors: {}, calculation: null }
  const locals = {
    title: calculator.title,
    back: { href: '/calculators', text: 'Calculators' },
    calculator,
    fields: calculator.fields.map(field => shownField(field, values, errors)),
    inputs: asked ? inputsOf(calculator, values) : [],
    calculation,
    values,
    errors,
  }
  const status = Object.keys(errors).length > 0 ? 400 : 200
  return page('technician/calculators/calculator', locals, { status })
}

function typedIn(req: Request, { name, usual = '' }: CalculatorField, asked: boolean): string {
  const sent = req.query[name]
  return typeof sent === 'string' ? sent.trim().slice(0, 60) : asked ? '' : usual
}

function calculate(
  calculator: Calculator,
  values: Values,
): { errors: FormErrors; calculation: Calculation | null } {
  const { input, errors } = readInput(calculator, values)
  if (Object.keys(errors).length > 0) return { errors, calculation: null }
  try {
    const done = calculator.work(input)
    if ('missing' in done) return { errors: { [done.missing]: done.words }, calculation: null }
    return { errors: {}, calculation: done }
  } catch (error) {
    if (!(error instanceof Impossible)) throw error
    return { errors: { [blamed(calculator, error.message)]: error.message }, calculation: null }
  }
}

/** Every field read once, numbers told in the field's unit. */
function readInput({ fields }: Calculator, values: Values): { input: CalculatorInput; errors: FormErrors } {
  const errors: FormErrors = {}
  const numbers = new Map<string, { value: number; resolution: number }>()
  for (const field of fields) {
    const text = values[field.name] ?? ''
    if (text === '' && field.optional) continue
    const read = field.unit ? numberIn(text, field.unit) : choiceIn(text, field)
    if (typeof read === 'string') errors[field.name] = read
    else if (read) numbers.set(field.name, read)
  }
  const of = (name: string) => numbers.get(name) ?? { value: Number.NaN, resolution: 1 }
  const input = {
    number: (name: string) => of(name).value,
    resolution: (name: string) => of(name).resolution,
    has: (name: string) => numbers.has(name),
    word: (name: string) => values[name] ?? '',
  }
  return { input, errors }
}

/** A number in `unit` with one count of its last digit, or what is wrong with the text. */
function numberIn(text: string, unit: string): { value: number; resolution: number } | string {
  const parsed = parseReading(text, unit)
  if (!parsed.ok)
    return 'error' in parsed ? parsed.error : `${parsed.ask.question} Type it out, with its unit.`
  const { reading } = parsed
  if (reading.kind !== 'value') return 'One number is needed here.'
  const { base } = getUnit(unit)
  return { value: convert(reading.value, base, unit), resolution: convert(reading.resolution, base, unit) }
}

function choiceIn(text: string, { choices = [] }: CalculatorField): null | string {
  return choices.some(choice => choice.value === text) ? null : 'Choose one of these.'
}

/** The field whose name the message has in it, or the first. */
function blamed({ fields }: Calculator, message: string): string {
  const named = fields.find(({ name }) => new RegExp(`\\b${name}\\b`, 'i').test(message))
  return (named ?? fields[0])?.name ?? ''
}

function inputsOf({ fields }: Calculator, values: Values) {
  return fields.flatMap(({ name, label, unit, choices = [] }) => {
    const text = values[name] ?? ''
    const chosen = choices.find(choice => choice.value === text)?.label
    const bare = unit && /^[-−\d.,]+$/.test(text) ? `${text}\u00a0${getUnit(unit).shown}` : text
    return text === '' ? [] : [{ key: label, value: chosen ?? bare }]
  })
}

/** A field of a calculator as the field partial takes it: a choice as a select, a number with its unit. */
export function shownField(
  { name, label, hint, unit, choices }: CalculatorField,
  values: Record<string, string>,
  errors: FormErrors,
) {
  const field = { name, label, hint, error: errors[name], value: values[name] }
  return choices
    ? { ...field, type: 'select', options: choices }
    : { ...field, type: 'decimal', unit: unit && getUnit(unit).shown, width: 'short' }
}
