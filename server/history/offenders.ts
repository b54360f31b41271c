// Which positions fail more than the others of their kind, and whether it is chance.

import { binomialAtLeast } from './distributions/beta.ts'
import { cannotSay, type Explained, term } from './explained.ts'
import { adjustForMany } from './false-discovery.ts'
import { yearDays } from './fault-rate.ts'
import { groupBy } from './group-by.ts'
import { fitKind, type KindFit } from './kind-fit.ts'
import {
  chanceWords,
  countWords,
  durationWords,
  excessWords,
  numberWords,
  percentWords,
} from './plain-words.ts'
import { chanceWorse, posteriorLimits, posteriorRate } from './posterior.ts'

export interface Exposed {
  id: string
  /** Equipment kind, or kind of unit. */
  kind: string
  faults: number
  serviceDays: number
}

export interface Compared extends Exposed {
  fit: KindFit | null
  /** What the others of its kind would have had in the same time; null when there are no others in service. */
  expected: number | null
  /** Chance of this many or more if all of the kind were alike, exact given the kind's total; null as above. */
  byLuck: number | null
  /** The same, adjusted for how many were looked at. */
  adjusted: number
  /** Chance that its true rate is more than twice its kind's mean. */
  chanceTwice: number | null
  stands: 'out' | 'with the rest'
}

/**
 * Compares each row with the others of its kind; the least likely first. Of the rows that stand out, a share `q`
 * at most is expected to be luck; on a railway with nothing wrong, the chance of any is at most `q`.
 */
export function compareWithKind(rows: readonly Exposed[], q = 0.05): Compared[] {
  const kinds = groupBy(rows, row => row.kind)
  const compared = [...kinds.values()].flatMap(compareOneKind)
  const tested = compared.filter(row => row.byLuck !== null)
  const adjusted = adjustForMany(tested.map(row => row.byLuck ?? 1))
  tested.forEach((row, i) => {
    row.adjusted = adjusted[i] ?? 1
    row.stands = row.adjusted <= q ? 'out' : 'with the rest'
  })
  return compared.sort((a, b) => (a.byLuck ?? 2) - (b.byLuck ?? 2) || (a.id < b.id ? -1 : 1))
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
    words: excessWords(countWords(row.faults, 'fault'), row.serviceDays, row.expected, row.byLuck),
    terms: [
      term('faults', row.faults, 'faults counted in the window'),
      term('service', row.serviceDays, `${durationWords(row.serviceDays)} in service in the window`),
      term('expected', row.expected, 'what the others of its kind would have had in that time'),
      term('by luck', row.byLuck, `${chanceWords(row.byLuck)}, if all of its kind were alike`),
      term('adjusted', row.adjusted, 'the same, adjusted for how many were looked at (Benjamini–Hochberg)'),
      term('rate', perYear, `likely true rate, faults a year: ${range} (${percentWords(confidence)} limits)`),
      term('twice', row.chanceTwice, 'chance that it is worse than twice the mean of its kind'),
      term(
        'shape',
        row.fit.shape,
        `spread of its kind: ${row.fit.spread === 'seen' ? 'positions differ' : 'none seen beyond luck'}`,
      ),
    ],
  }
}

function compareOneKind(rows: Exposed[]): Compared[] {
  const faults = rows.reduce((total, row) => total + row.faults, 0)
  const days = rows.reduce((total, row) => total + row.serviceDays, 0)
  const fit = fitKind(
    rows.map(row => row.faults),
    rows.map(row => row.serviceDays),
  )
  return rows.map(row => {
    const others = days - row.serviceDays
    const comparable = fit !== null && others > 0 && row.serviceDays > 0
    return {
      ...row,
      fit,
      expected: comparable ? ((faults - row.faults) * row.serviceDays) / others : null,
      byLuck: comparable ? binomialAtLeast(row.faults, faults, row.serviceDays / days) : null,
      adjusted: 1,
      chanceTwice: comparable ? chanceWorse(fit, row.faults, row.serviceDays) : null,
      stands: 'with the rest',
    }
  })
}
