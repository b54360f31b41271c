import { chiSquareQuantile } from '../../statistics/chi-square.ts'
import { findRoot } from '../../statistics/find-root.ts'
import { countWords, numberWords, percentWords } from '../../words.ts'
import { cannotSay, type Explained, term } from '../explained.ts'
import { yearDays } from './fault-rate.ts'

export interface Visit {
  daysSinceHealthy: number
  foundDead: boolean
}

export interface UnseenRate {
  perDay: number
  low: number
  high: number
}

/**
 * Failure rate of something only visits can find dead: the likeliest rate given what each visit found and how
 * long it had been since the last healthy one, with likelihood-ratio limits. With none found dead, an upper
 * bound. Null without visits, or when every visit found it dead.
 */
export function unseenRate(visits: readonly Visit[], confidence = 0.95): Explained<UnseenRate | null> {
  const used = visits.filter(visit => visit.daysSinceHealthy > 0)
  const dead = used.filter(visit => visit.foundDead).length
  const days = used.reduce((total, visit) => total + visit.daysSinceHealthy, 0)
  const terms = [
    term('visits', used.length, 'visits with an earlier healthy one to count from'),
    term('found dead', dead, 'visits that found it not working'),
    term('watched', days, 'days between healthy and next seen, all visits together'),
  ]
  if (used.length === 0) return cannotSay('No visits, so no rate.', terms)
  if (dead === used.length)
    return cannotSay('Cannot say: every visit found it dead, so it fails faster than it is visited.', terms)
  const value =
    dead === 0
      ? { perDay: 0, low: 0, high: -Math.log(1 - confidence) / days }
      : likeliest(used, days, confidence)
  const range = `${numberWords(value.low * yearDays)} to ${numberWords(value.high * yearDays)}`
  const words = `${numberWords(value.perDay * yearDays)} unseen failures a year (${range}, ${percentWords(confidence)} limits; ${countWords(used.length, 'visit')})`
  return { value, words, terms }
}

function likeliest(visits: readonly Visit[], days: number, confidence: number): UnseenRate {
  const score = (perDay: number) =>
    visits.reduce(
      (total, { daysSinceHealthy: t, foundDead }) => total + (foundDead ? t / Math.expm1(perDay * t) : -t),
      0,
    )
  const start = 1 / days
  let [low, high] = [start, start]
  while (score(low) < 0) low /= 2
  while (score(high) > 0) high *= 2
  const perDay = findRoot(score, low, high)
  const drop = chiSquareQuantile(confidence, 1) / 2
  const short = (rate: number) => likelihood(visits, rate) - likelihood(visits, perDay) + drop
  let [floor, ceiling] = [perDay, perDay]
  while (short(floor) > 0) floor /= 2
  while (short(ceiling) > 0) ceiling *= 2
  return { perDay, low: findRoot(short, floor, perDay), high: findRoot(short, perDay, ceiling) }
}

function likelihood(visits: readonly Visit[], perDay: number): number {
  return visits.reduce(
    (total, { daysSinceHealthy: t, foundDead }) =>
      total + (foundDead ? Math.log(-Math.expm1(-perDay * t)) : -perDay * t),
    0,
  )
}
