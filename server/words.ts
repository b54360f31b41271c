// Words and figures as every page says them. One fixed locale, so that the same figure always reads the same.

const whole = new Intl.NumberFormat('en-GB', { maximumFractionDigits: 0 })

/** Which way a figure is rounded where rounding to the nearest would make it look better than it is. */
export type Rounding = 'nearest' | 'up' | 'down'

const modes = { nearest: 'halfExpand', up: 'ceil', down: 'floor' } as const
const twoDigits = formats({ maximumSignificantDigits: 2 })
const wholes = formats({ maximumFractionDigits: 0 })
const oneDecimal = formats({ maximumFractionDigits: 1 })

/** "1 fault", "5 faults", "1,200 faults". */
export function countWords(count: number, one: string, many = `${one}s`): string {
  return `${whole.format(count)} ${count === 1 ? one : many}`
}

/** Two significant digits below a hundred, whole above: "0.6", "14", "1,250". */
export function numberWords(value: number, rounding: Rounding = 'nearest'): string {
  return (Math.abs(value) >= 100 ? wholes : twoDigits)[rounding].format(withoutDust(value))
}

/** "5 days", "6 weeks", "14 months", "3.5 years". */
export function durationWords(days: number): string {
  if (days < 14) return countWords(Math.round(days), 'day')
  if (days < 60) return countWords(Math.round(days / 7), 'week')
  if (days < 730) return countWords(Math.round(days / 30.4375), 'month')
  return `${numberWords(days / 365.25)} years`
}

/** "less than 1 chance in 2,000 by luck", "about 1 chance in 4 by luck", "likely by luck alone". */
export function chanceWords(chance: number): string {
  if (chance > 0.4) return 'likely by luck alone'
  if (chance > 0.1) return `about 1 chance in ${whole.format(1 / chance)} by luck`
  return `less than 1 chance in ${whole.format(roundOdds(chance))} by luck`
}

/**
 * A chance that has been adjusted for how many were looked at, which it names: among a hundred, one looks like a
 * chance in a hundred by luck. "less than 1 chance in 20 by luck, counting all 110 looked at"
 */
export function adjustedChanceWords(adjusted: number, looked: number): string {
  const counting = looked > 1 ? `, counting all ${whole.format(looked)} looked at` : ''
  return `${chanceWords(adjusted)}${counting}`
}

/**
 * "5 faults in 14 months; 0.6 would be usual; less than 1 chance in 200 by luck, counting all 110 looked at".
 */
export function excessWords(
  seen: string,
  days: number,
  expected: number,
  { adjusted, looked }: { adjusted: number; looked: number },
): string {
  const usual = `${numberWords(expected)} would be usual`
  return `${seen} in ${durationWords(days)}; ${usual}; ${adjustedChanceWords(adjusted, looked)}`
}

/**
 * A share with two significant digits: "0.5 %", "37 %". "100 %" stands for all of it and for nothing less:
 * above 99 % there is one digit after the point, and above 99.9 % only "more than 99.9 %".
 */
export function percentWords(share: number, rounding: Rounding = 'nearest'): string {
  const percent = withoutDust(100 * share)
  if (share > 0.999 && share < 1) return 'more than 99.9 %'
  return `${percent > 99 && percent < 100 ? oneDecimal[rounding].format(percent) : numberWords(percent, rounding)} %`
}

/**
 * A probability in whole percent; never 0 or 100, which would
 * be certainty: "less than 1 %", "37 %", "more than 99 %".
 */
export function probabilityWords(probability: number): string {
  const whole = Math.round(probability * 100)
  if (whole === 100) return 'more than 99\u00a0%'
  return whole === 0 ? 'less than 1\u00a0%' : `${whole}\u00a0%`
}

/** The same for a list of chances, where a sum of nothing and a certainty may stand: "under 1 %", "37 %", "100 %". */
export function chancePercent(chance: number): string {
  if (chance > 0 && chance < 0.01) return 'under 1 %'
  if (chance < 1 && chance > 0.99) return 'over 99 %'
  return `${Math.round(chance * 100)} %`
}

/** With a capital first letter. */
export function capitalize(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1)
}

/**
 * The largest of 1, 2, 5, 10, 20, … whose odds the chance stays
 * under. A millionth is as far as a model can be trusted.
 */
function roundOdds(chance: number): number {
  let best = 1
  for (let ten = 1; ten <= 1e6; ten *= 10) {
    for (const odds of [ten, 2 * ten, 5 * ten]) if (odds <= 1e6 && chance * odds < 1) best = odds
  }
  return best
}

function formats(digits: Intl.NumberFormatOptions): Record<Rounding, Intl.NumberFormat> {
  const format = (rounding: Rounding) =>
    new Intl.NumberFormat('en-GB', { ...digits, roundingMode: modes[rounding] })
  return { nearest: format('nearest'), up: format('up'), down: format('down') }
}

/** 100 × 0.07 is a hair above 7 in binary, which must not round up to 8. */
function withoutDust(value: number): number {
  return Number(value.toPrecision(12))
}
