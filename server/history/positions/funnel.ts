// A fair picture of many positions: each one's rate against its exposure, with the limits luck would keep to.

import { chiSquareAbove } from '../../statistics/chi-square.ts'
import { poissonAtMost, poissonQuantile } from '../../statistics/poisson.ts'
import { numberWords } from '../../words.ts'
import { cannotSay, type Explained, term } from '../explained.ts'
import type { Exposed } from './offenders.ts'

export interface FunnelLimit {
  serviceDays: number
  /** Faults a day, as are all four. */
  low95: number
  high95: number
  low998: number
  high998: number
}

export interface FunnelPoint extends Exposed {
  perDay: number
  zone: 'inside' | 'outside 95 %' | 'outside 99.8 %'
}

export interface Funnel {
  /** Faults a day, all rows together. */
  perDay: number
  points: FunnelPoint[]
  /** At evenly spaced exposures up to the largest. */
  limits: FunnelLimit[]
  /** How the limits of a count, which is whole, are drawn as lines. */
  method: string
  dispersion: Explained<number | null>
}

const method =
  'Exact Poisson limits, drawn between whole counts in proportion to the chance at each ' +
  '(Spiegelhalter 2005, Statistics in Medicine 24:1185–1202, appendix).'

/** Below this many expected faults the limits of a count say nothing, and their lines are not drawn. */
const leastExpected = 0.1

/** The funnel of one kind; null without time in service. */
export function funnel(rows: readonly Exposed[], steps = 120): Funnel | null {
  const used = rows.filter(row => row.serviceDays > 0)
  const days = used.reduce((total, row) => total + row.serviceDays, 0)
  if (days === 0) return null
  const perDay = used.reduce((total, row) => total + row.faults, 0) / days
  const longest = used.reduce((most, row) => Math.max(most, row.serviceDays), 0)
  const exposures = Array.from({ length: steps }, (_, i) => (longest * (i + 1)) / steps).filter(
    serviceDays => perDay * serviceDays >= leastExpected,
  )
  const limitsOf = remembered((serviceDays: number) => funnelLimit(perDay, serviceDays))
  return {
    perDay,
    points: used.map(row => ({
      ...row,
      perDay: row.faults / row.serviceDays,
      zone: zoneOf(row, limitsOf(row.serviceDays)),
    })),
    limits: exposures.map(limitsOf),
    method,
    dispersion: dispersion(used, perDay),
  }
}

/** The limits of the observed rate at one exposure, when the true rate is `perDay`. */
export function funnelLimit(perDay: number, serviceDays: number): FunnelLimit {
  const at = (p: number) => interpolatedCount(p, perDay * serviceDays) / serviceDays
  return { serviceDays, low95: at(0.025), high95: at(0.975), low998: at(0.001), high998: at(0.999) }
}

/** Observed spread over the spread luck would give: 1 when all positions are alike. */
export function dispersion(rows: readonly Exposed[], perDay: number): Explained<number | null> {
  const df = rows.length - 1
  if (df < 1 || perDay === 0) return cannotSay('Too few positions or no faults: no spread to measure.')
  const chiSquare = rows.reduce((total, row) => {
    const expected = perDay * row.serviceDays
    return total + (row.faults - expected) ** 2 / expected
  }, 0)
  const chance = chiSquareAbove(chiSquare, df)
  const verdict = chance < 0.05 ? 'positions differ by more than luck' : 'no more spread than luck would give'
  return {
    value: chiSquare / df,
    words: `Spread ${numberWords(chiSquare / df)} times what luck gives: ${verdict}.`,
    terms: [
      term('chi-square', chiSquare, 'sum of (counted − expected)² / expected'),
      term('degrees', df, 'positions less one'),
      term(
        'chance',
        chance,
        'chance of this spread or more by luck; rough where expected counts are below one',
      ),
    ],
  }
}

function interpolatedCount(p: number, mean: number): number {
  const count = poissonQuantile(p, mean)
  const [upTo, below] = [poissonAtMost(count, mean), poissonAtMost(count - 1, mean)]
  return Math.max(0, count - (upTo - p) / (upTo - below))
}

function zoneOf(row: Exposed, limit: FunnelLimit): FunnelPoint['zone'] {
  const perDay = row.faults / row.serviceDays
  if (perDay > limit.high998 || perDay < limit.low998) return 'outside 99.8 %'
  return perDay > limit.high95 || perDay < limit.low95 ? 'outside 95 %' : 'inside'
}

/**
 * Caches by argument: many positions have been in service equally long, so most limits are asked for again.
 */
function remembered<T>(of: (key: number) => T): (key: number) => T {
  const cache = new Map<number, T>()
  return key => {
    const cached = cache.get(key) ?? of(key)
    cache.set(key, cached)
    return cached
  }
}
