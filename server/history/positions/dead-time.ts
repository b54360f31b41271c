// Unseen failures: how long a position whose failure is not indicated stands dead before a visit finds it.

import { durationWords, numberWords, percentWords } from '../../words.ts'
import { type Explained, term } from '../explained.ts'
import { dayMs } from './exposure.ts'
import { yearDays } from './fault-rate.ts'

/**
 * Mean share of the time it stands dead with a visit every
 * `intervalDays`: exact, 1 − (1 − e^−x)/x with x = rate × interval.
 */
export function deadShare(perDay: number, intervalDays: number): number {
  const x = perDay * intervalDays
  if (x < 1e-3) return x / 2 - (x * x) / 6 + x ** 3 / 24
  return 1 + Math.expm1(-x) / x
}

/** The usual short form, rate × interval / 2; good while it is small. */
export function deadShareApproximate(perDay: number, intervalDays: number): number {
  return (perDay * intervalDays) / 2
}

/** Both forms with their terms. */
export function explainDeadShare(perDay: number, intervalDays: number): Explained {
  const value = deadShare(perDay, intervalDays)
  return {
    value,
    words: `Not protecting ${percentWords(value)} of the time on average, ${numberWords(value * yearDays)} days a year`,
    terms: [
      term('rate', perDay * yearDays, 'failures a year that nobody would see'),
      term('interval', intervalDays, `a visit every ${durationWords(intervalDays)}`),
      term('exact', value, '1 − (1 − e^−x)/x with x = rate × interval'),
      term('short form', deadShareApproximate(perDay, intervalDays), 'rate × interval / 2'),
    ],
  }
}

export interface OtherInterval {
  intervalDays: number
  visitsPerYear: number
  deadShare: number
  deadDaysPerYear: number
}

/** What other intervals between visits would buy. */
export function compareIntervals(perDay: number, intervals: readonly number[]): OtherInterval[] {
  return intervals.map(intervalDays => {
    const share = deadShare(perDay, intervalDays)
    return {
      intervalDays,
      visitsPerYear: yearDays / intervalDays,
      deadShare: share,
      deadDaysPerYear: share * yearDays,
    }
  })
}

export interface VisitState {
  dueMs: number
  state: 'overdue' | 'due' | 'not yet'
  daysSinceHealthy: number
  /** Chance that it stands dead now, unseen. */
  deadNow: number
}

/**
 * When the next visit is due, counted from when it was last
 * seen healthy; `due` for the last tenth of the interval.
 */
export function visitState(
  lastHealthyMs: number,
  intervalDays: number,
  perDay: number,
  asAtMs: number,
): VisitState {
  const daysSinceHealthy = Math.max(0, (asAtMs - lastHealthyMs) / dayMs)
  const state =
    daysSinceHealthy > intervalDays ? 'overdue' : daysSinceHealthy >= 0.9 * intervalDays ? 'due' : 'not yet'
  return {
    dueMs: lastHealthyMs + intervalDays * dayMs,
    state,
    daysSinceHealthy,
    deadNow: -Math.expm1(-perDay * daysSinceHealthy),
  }
}
