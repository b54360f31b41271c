// A number as people type it: `0.08`, `0,08`, `.5`, `1,234.5`,
// `−0.2`, `1e3`. What could be two numbers is asked about.

export interface TypedNumber {
  value: number
  /** One count of the last digit typed. */
  resolution: number
  /** What stood after the number: a unit, a prefix, or nothing. */
  rest: string
}

export type ReadNumber =
  | ({ kind: 'number' } & TypedNumber)
  /** Each choice is the whole text in a form that is not ambiguous. */
  | { kind: 'ask'; choices: string[] }
  | { kind: 'error'; error: string }

const SHAPE = /^([-−–+]?)\s*((?:\d[\d.,]*|[.,]\d+))(?:[eE]([+\-−]?\d+))?\s*(.*)$/
const MOST_DIGITS = 12
const LARGEST_POWER = 15

/** Reads the number at the start of `text`; the text must hold one. */
export function readNumber(text: string): ReadNumber {
  const match = SHAPE.exec(text)
  const digits = match?.[2]
  if (!match || !digits)
    return { kind: 'error', error: `"${text}" has no number in it: type one, such as 96.4.` }
  const sign = match[1] === '' || match[1] === '+' ? '' : '-'
  const power = (match[3] ?? '0').replace('−', '-')
  const rest = match[4] ?? ''
  if (/^\d{1,3},\d{3}$/.test(digits) && !digits.startsWith('0')) return ask(sign, digits, match[3], rest)
  const plain = decimalPoint(digits)
  if (plain === null)
    return { kind: 'error', error: `"${digits}" has marks in odd places: type it with one decimal point.` }
  return toNumber(sign, plain, Number(power), rest)
}

function ask(sign: string, digits: string, power: string | undefined, rest: string): ReadNumber {
  const tail = `${power === undefined ? '' : `e${power}`}${rest === '' ? '' : ` ${rest}`}`
  const choices = [digits.replace(',', ''), digits.replace(',', '.')]
  return { kind: 'ask', choices: choices.map(choice => `${sign}${choice}${tail}`) }
}

/** The digits with a decimal point and no thousands marks, or null where the marks make no sense. */
function decimalPoint(digits: string): string | null {
  const commas = digits.split(',').length - 1
  const points = digits.split('.').length - 1
  if (commas + points === 0 || (points === 1 && commas === 0)) return digits
  if (commas === 1 && points === 0) return digits.replace(',', '.')
  if (points === 0) return /^\d{1,3}(,\d{3})+$/.test(digits) ? digits.replaceAll(',', '') : null
  if (/^\d{1,3}(,\d{3})+\.\d*$/.test(digits)) return digits.replaceAll(',', '')
  if (/^\d{1,3}(\.\d{3})+,\d*$/.test(digits)) return digits.replaceAll('.', '').replace(',', '.')
  return null
}

function toNumber(sign: string, plain: string, power: number, rest: string): ReadNumber {
  const counted = plain.replace('.', '').replace(/^0+/, '').length
  if (counted > MOST_DIGITS)
    return {
      kind: 'error',
      error: `${counted} digits are more than a meter shows: type what the meter shows.`,
    }
  if (Math.abs(power) > LARGEST_POWER)
    return {
      kind: 'error',
      error: 'This number is too large or too small to be a reading: type what the meter shows.',
    }
  const decimals = plain.includes('.') ? plain.length - plain.indexOf('.') - 1 : 0
  const value = Number(`${sign}${plain}e${power}`)
  return { kind: 'number', value: value === 0 ? 0 : value, resolution: Number(`1e${power - decimals}`), rest }
}
