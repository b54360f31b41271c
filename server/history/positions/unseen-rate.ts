import { chiSquareQuantile } from '../../statistics/chi-square.ts'
import { findRoot } from '../../statistics/find-root.ts'
import { countWords, numberWords, percentWords } from '../../words.ts'
import { cannotSay, type Explained, term } from '../explained.ts'
import { yearDays } from './fault-rate.ts'
import type { Look } from './sightings.ts'

export interface UnseenRate {
  /** Failures a day of working. 0 when none was found dead: then only `high` says anything. */
  perDay: number
  low: number
  high: number
}

/**
 * How often something fails that only a look can find dead, from what each look found and how long it had been
 * since it last worked.
 *
 * While it works it fails at one rate λ; dead, it stays dead until somebody looks, and cannot fail again. When it
 * failed is not known, only that it was between two looks (interval censoring): t days after it last worked it is
 * found dead with chance 1 − e^(−λt), and working with e^(−λt). The λ that makes all these the likeliest solves
 * Σ t / (e^(λt) − 1) over the dead = Σ t over the working. It is the binomial model with a complementary log-log
 * link, ln t as offset (McCullagh & Nelder 1989, Generalized Linear Models, 2nd ed., 4.3). Faults ÷ days in
 * service would count the time that it stood dead as time in which it could fail, and come out too low.
 *
 * A fault found between rounds counts as a look that found it dead. The looks between rounds that found it
 * working are on no record, so where many faults are found that way the rate is somewhat too high.
 *
 * Limits by the likelihood ratio, which is compared with chi-square on one degree. With none found dead, the bound
 * is exact: −ln(1 − confidence) / Σ t. Null without any look, and when every look found it dead.
 */
export function unseenRate(looks: readonly Look[], confidence = 0.95): Explained<UnseenRate | null> {
  const used = looks.filter(look => look.days > 0)
  const count = (found: Look['found']) => used.filter(look => look.found === found).length
  const working = count('working')
  const days = used.reduce((total, look) => total + look.days, 0)
  const terms = [
    term('looks', used.length, 'times somebody could tell, and it had been seen working before'),
    term('on rounds', count('dead on a round'), 'rounds that found it dead'),
    term(
      'between rounds',
      count('dead between rounds'),
      'faults found with no round: each counts as found dead that day, which is on the high side',
    ),
    term('days', days, 'days from when it was seen working to the next look, all together'),
  ]
  if (used.length === 0)
    return cannotSay('Cannot say: none was looked at again after it was seen working.', terms)
  if (working === 0)
    return cannotSay('Cannot say: every look found it dead, so it fails faster than anybody looks.', terms)
  const value =
    working === used.length
      ? { perDay: 0, low: 0, high: -Math.log(1 - confidence) / days }
      : likeliest(used, days, confidence)
  return { value, words: rateWords(value, used.length, confidence), terms: [...terms, ...limitTerms(value)] }
}

function rateWords({ perDay, low, high }: UnseenRate, looks: number, confidence: number): string {
  const n = countWords(looks, 'look')
  const most = numberWords(high * yearDays, 'up')
  if (perDay === 0)
    return `None was found dead in ${n}: at most ${most} failures a year (${percentWords(confidence)} bound)`
  const range = `${numberWords(low * yearDays, 'down')} to ${most}, ${percentWords(confidence)} limits`
  return `${numberWords(perDay * yearDays, 'up')} failures for each year that it works (${range}; ${n})`
}

function limitTerms({ perDay, low, high }: UnseenRate) {
  const way = perDay === 0 ? 'with none found dead, exact' : 'by the likelihood ratio'
  return [
    term('low', low * yearDays, `failures a year, ${way}`),
    term('high', high * yearDays, `failures a year, ${way}`),
  ]
}

function likeliest(looks: readonly Look[], days: number, confidence: number): UnseenRate {
  const start = 1 / days
  let [low, high] = [start, start]
  while (score(looks, low) < 0) low /= 2
  while (score(looks, high) > 0) high *= 2
  const perDay = findRoot(rate => score(looks, rate), low, high)
  const most = logLikelihood(looks, perDay)
  const drop = chiSquareQuantile(confidence, 1) / 2
  const short = (rate: number) => logLikelihood(looks, rate) - most + drop
  let [floor, ceiling] = [perDay, perDay]
  while (short(floor) > 0) floor /= 2
  while (short(ceiling) > 0) ceiling *= 2
  return { perDay, low: findRoot(short, floor, perDay), high: findRoot(short, perDay, ceiling) }
}

/** Slope of the log likelihood: positive while the rate is too low. */
function score(looks: readonly Look[], perDay: number): number {
  return looks.reduce(
    (total, { days, found }) => total + (found === 'working' ? -days : days / Math.expm1(perDay * days)),
    0,
  )
}

function logLikelihood(looks: readonly Look[], perDay: number): number {
  return looks.reduce(
    (total, { days, found }) =>
      total + (found === 'working' ? -perDay * days : Math.log(-Math.expm1(-perDay * days))),
    0,
  )
}
