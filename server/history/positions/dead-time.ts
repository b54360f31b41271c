// Unseen failures: how long a position whose failure is not indicated stands dead before a round finds it.

import { durationWords, numberWords, percentWords } from '../../words.ts'
import { type Explained, term } from '../explained.ts'
import { dayMs } from './exposure.ts'
import { yearDays } from './fault-rate.ts'
import type { UnseenRate } from './unseen-rate.ts'

/**
 * Mean share of the time it stands dead with a look every `intervalDays` that puts it right: the chance of being
 * dead t days after it was seen working is 1 − e^(−λt), and its mean over the interval τ is
 * 1 − (1 − e^(−λτ)) / (λτ). It is the mean unavailability of a periodically tested standby component; NUREG-0492,
 * Fault Tree Handbook (1981), and IEC 61508-6:2010, annex B, give its first term λτ / 2, which is too high where
 * λτ is not small.
 */
export function deadShare(perDay: number, intervalDays: number): number {
  const x = perDay * intervalDays
  if (x < 1e-3) return x / 2 - (x * x) / 6 + x ** 3 / 24
  return 1 + Math.expm1(-x) / x
}

/** The chance that it stands dead this long after it was seen working, when nobody has looked since. */
export function deadChance(perDay: number, daysSinceHealthy: number): number {
  return -Math.expm1(-perDay * daysSinceHealthy)
}

export interface DeadShare {
  /** 0 when none was found dead: then only `high` says anything. */
  share: number
  low: number
  high: number
}

/** The share at a rate and at its two limits: it rises with the rate, so they are its own limits. */
export function deadShareAt(rate: UnseenRate, intervalDays: number): DeadShare {
  return {
    share: deadShare(rate.perDay, intervalDays),
    low: deadShare(rate.low, intervalDays),
    high: deadShare(rate.high, intervalDays),
  }
}

/** "37 % (30 % to 45 %)", or "at most 4 %" where none was found dead. The share is rounded up. */
export function deadShareWords({ share, low, high }: DeadShare): string {
  const most = percentWords(high, 'up')
  return share === 0
    ? `at most ${most}`
    : `${percentWords(share, 'up')} (${percentWords(low, 'down')} to ${most})`
}

/** The share with its terms. */
export function explainDeadShare(rate: UnseenRate, intervalDays: number): Explained<DeadShare> {
  const value = deadShareAt(rate, intervalDays)
  const bound = value.share === 0
  const days = numberWords((bound ? value.high : value.share) * yearDays, 'up')
  return {
    value,
    words: bound
      ? `Not protecting ${deadShareWords(value)} of the time on average, ${days} days a year (95 % bound)`
      : `Not protecting ${deadShareWords(value)} of the time on average, ${days} days a year`,
    terms: [
      term('rate', rate.perDay * yearDays, 'failures for each year that it works'),
      term('interval', intervalDays, `a round every ${durationWords(intervalDays)}`),
      term('share', percentWords(value.share, 'up'), '1 − (1 − e^−x)/x with x = rate × interval'),
      term('low', percentWords(value.low, 'down'), 'the same at the lower limit of the rate'),
      term('high', percentWords(value.high, 'up'), 'the same at the upper limit of the rate'),
    ],
  }
}

export interface OtherInterval extends DeadShare {
  intervalDays: number
  visitsPerYear: number
  /** Of one position; where none was found dead, at most so many. */
  deadDaysPerYear: number
}

/** What other intervals between rounds would buy. */
export function compareIntervals(rate: UnseenRate, intervals: readonly number[]): OtherInterval[] {
  return intervals.map(intervalDays => {
    const dead = deadShareAt(rate, intervalDays)
    return {
      ...dead,
      intervalDays,
      visitsPerYear: yearDays / intervalDays,
      deadDaysPerYear: (dead.share === 0 ? dead.high : dead.share) * yearDays,
    }
  })
}

export interface VisitState {
  dueMs: number
  state: 'overdue' | 'due' | 'not yet'
  daysSinceHealthy: number
}

/**
 * When the next visit is due, counted from when it was last
 * seen healthy; `due` for the last tenth of the interval.
 */
export function visitState(lastHealthyMs: number, intervalDays: number, asAtMs: number): VisitState {
  const daysSinceHealthy = Math.max(0, (asAtMs - lastHealthyMs) / dayMs)
  const state =
    daysSinceHealthy > intervalDays ? 'overdue' : daysSinceHealthy >= 0.9 * intervalDays ? 'due' : 'not yet'
  return { dueMs: lastHealthyMs + intervalDays * dayMs, state, daysSinceHealthy }
}
