// Which positions fail more than the others of their kind, and whether it is chance.

import { binomialAtLeast } from '../../statistics/beta.ts'
import {
  chanceWords,
  countWords,
  durationWords,
  excessWords,
  numberWords,
  percentWords,
} from '../../words.ts'
import { cannotSay, type Explained, term } from '../explained.ts'
import { adjustForMany } from '../false-discovery.ts'
import { groupBy } from '../group-by.ts'
import { yearDays } from './fault-rate.ts'
import { chanceWorse, fitKind, type KindFit, posteriorLimits, posteriorRate } from './kind-fit.ts'

export interface Exposed {
  id: string
  /** Equipment kind, or kind of unit. */
  kind: string
  faults: number
  serviceDays: number
}

/** Held against the others of its kind. */
export interface Tested extends Exposed {
  /**
   * What the others of its kind would have had in the same time; null when there are no others in service.
   */
  expected: number | null
  /**
   * Chance of this many or more if all of the kind were alike, exact given the kind's total; null as above.
   */
  byLuck: number | null
  /** The same, adjusted for how many were looked at, and that number. */
  adjusted: number
  looked: number
  stands: 'out' | 'with the rest'
}

export interface Compared extends Tested {
  fit: KindFit | null
}

/**
 * Compares each row with the others of its kind; the least likely first. Of the rows that stand out, a share
 * `q` at most is expected to be luck; on a railway with nothing wrong, the chance of any is at most `q`.
 */
export function compareWithKind(rows: readonly Exposed[], q = 0.05): Compared[] {
  const fits = new Map([...groupBy(rows, row => row.kind)].map(([kind, own]) => [kind, fitOf(own)]))
  return testWithKind(rows, q)
    .map(row => ({ ...row, fit: fits.get(row.kind) ?? null }))
    .sort(leastLikelyFirst)
}

/**
 * The same without what the kind's spread says, and in the
 * order given: quick enough for a hundred thousand rows.
 */
export function testWithKind(rows: readonly Exposed[], q = 0.05): Tested[] {
  const totals = totalsByKind(rows)
  const tested = rows.map(row => testOne(row, totals.get(row.kind) ?? { faults: 0, days: 0 }))
  const chances = tested.filter(row => row.byLuck !== null)
  const adjusted = adjustForMany(chances.map(row => row.byLuck ?? 1))
  chances.forEach((row, i) => {
    row.adjusted = adjusted[i] ?? 1
    row.looked = chances.length
    row.stands = row.adjusted <= q ? 'out' : 'with the rest'
  })
  return tested
}

export function leastLikelyFirst(a: Tested, b: Tested): number {
  return (a.byLuck ?? 2) - (b.byLuck ?? 2) || (a.id < b.id ? -1 : 1)
}

/** Chance that its true rate is more than twice its kind's mean; null when there are no others in service. */
export function chanceTwice({ fit, expected, faults, serviceDays }: Compared): number | null {
  return fit === null || expected === null ? null : chanceWorse(fit, faults, serviceDays)
}

/** One row in plain words with its terms. */
export function explainOffender(row: Compared, confidence = 0.95): Explained<number | null> {
  if (row.fit === null || row.expected === null || row.byLuck === null)
    return cannotSay('Nothing of the same kind has been in service to compare it with.')
  const perYear = yearDays * posteriorRate(row.fit, row.faults, row.serviceDays)
  const limits = posteriorLimits(row.fit, row.faults, row.serviceDays, confidence)
  const range = `${numberWords(yearDays * limits.low)} to ${numberWords(yearDays * limits.high)}`
  return {
    value: perYear,
    words: excessWords(countWords(row.faults, 'fault'), row.serviceDays, row.expected, row),
    terms: [
      term('faults', row.faults, 'faults counted in the window'),
      term('service', row.serviceDays, `days in service in the window (${durationWords(row.serviceDays)})`),
      term('expected', row.expected, 'what the others of its kind would have had in that time'),
      term(
        'by luck',
        row.byLuck,
        `${chanceWords(row.byLuck)}, if it alone were looked at and all of its kind alike`,
      ),
      term('adjusted', row.adjusted, 'the same, adjusted for how many were looked at (Benjamini–Hochberg)'),
      term('rate', perYear, `likely true rate, faults a year: ${range} (${percentWords(confidence)} limits)`),
      term('worse than twice', chanceTwice(row), 'chance that it is worse than twice the mean of its kind'),
      term(
        'spread',
        row.fit.shape,
        `of its kind, the larger the more alike: ${row.fit.spread === 'seen' ? 'positions differ' : 'none seen beyond luck'}`,
      ),
    ],
  }
}

function fitOf(rows: Exposed[]): KindFit | null {
  return fitKind(
    rows.map(row => row.faults),
    rows.map(row => row.serviceDays),
  )
}

interface Totals {
  faults: number
  days: number
}

function totalsByKind(rows: readonly Exposed[]): Map<string, Totals> {
  const totals = new Map<string, Totals>()
  for (const { kind, faults, serviceDays } of rows) {
    const ofKind = totals.get(kind) ?? { faults: 0, days: 0 }
    totals.set(kind, ofKind)
    ofKind.faults += faults
    ofKind.days += serviceDays
  }
  return totals
}

function testOne({ id, kind, faults, serviceDays }: Exposed, all: Totals): Tested {
  const others = all.days - serviceDays
  const comparable = all.faults > 0 && others > 0 && serviceDays > 0
  return {
    id,
    kind,
    faults,
    serviceDays,
    expected: comparable ? ((all.faults - faults) * serviceDays) / others : null,
    byLuck: comparable ? binomialAtLeast(faults, all.faults, serviceDays / all.days) : null,
    adjusted: 1,
    looked: 0,
    stands: 'with the rest',
  }
}
