// Season, temperature and rain: do faults gather in some slices of the time in service?

import { chiSquareAbove } from '../../statistics/chi-square.ts'
import { poissonLimits } from '../../statistics/poisson.ts'
import { chanceWords, numberWords } from '../../words.ts'
import { cannotSay, type Explained, term } from '../explained.ts'

/** One slice of the time: a month of the year, a band of temperature, wet or dry. */
export interface Slice {
  label: string
  faults: number
  /** Days in service in this slice, all positions together. */
  serviceDays: number
}

export interface SliceRate extends Slice {
  /** Rate against the rate over all slices, 1 is usual; null without time in the slice. */
  ratio: number | null
  low: number | null
  high: number | null
}

/** Each slice's rate against the whole, with exact Poisson limits. */
export function sliceRates(slices: readonly Slice[], confidence = 0.95): SliceRate[] {
  const overall = rateOf(slices)
  return slices.map(slice => {
    const expected = overall * slice.serviceDays
    if (!(expected > 0)) return { ...slice, ratio: null, low: null, high: null }
    const limits = poissonLimits(slice.faults, confidence)
    return {
      ...slice,
      ratio: slice.faults / expected,
      low: limits.low / expected,
      high: limits.high / expected,
    }
  })
}

/**
 * Whether the slices differ by more than luck: chi-square;
 * slices expecting fewer than five faults make it rough.
 */
export function slicesDiffer(slices: readonly Slice[]): Explained<boolean | null> {
  const used = slices.filter(slice => slice.serviceDays > 0)
  const overall = rateOf(used)
  const faults = used.reduce((total, slice) => total + slice.faults, 0)
  if (used.length < 2 || faults < 5 * used.length)
    return cannotSay(`Cannot say: ${faults} faults are too few for ${used.length} slices.`, [
      term('faults', faults, 'n'),
    ])
  const chiSquare = used.reduce(
    (total, s) => total + (s.faults - overall * s.serviceDays) ** 2 / (overall * s.serviceDays),
    0,
  )
  const chance = chiSquareAbove(chiSquare, used.length - 1)
  const worst = sliceRates(used).reduce((a, b) => ((b.ratio ?? 0) > (a.ratio ?? 0) ? b : a))
  const words = `Most in ${worst.label}: ${numberWords(worst.ratio ?? 0)} times the usual rate; ${chanceWords(chance)}`
  return {
    value: chance <= 0.05,
    words: chance <= 0.05 ? words : 'No more difference between them than luck would give.',
    terms: [
      term('faults', faults, 'n'),
      term('chi-square', chiSquare, `faults against days in service, ${used.length - 1} degrees`),
      term('chance', chance, 'chance of this much difference by luck'),
    ],
  }
}

/**
 * Counts of faults and days in service summed by band of some
 * weather figure; days without a figure are a band of their own.
 */
export function sliceByBand(
  days: Iterable<{ figure: number | null; faults: number; serviceDays: number }>,
  edges: readonly number[],
  unit: string,
): Slice[] {
  const slices = [...labels(edges, unit), 'not known'].map(label => ({ label, faults: 0, serviceDays: 0 }))
  for (const day of days) {
    const { figure } = day
    const place = figure === null ? slices.length - 1 : edges.filter(edge => edge <= figure).length
    const slice = slices[place]
    if (slice === undefined) continue
    slice.faults += day.faults
    slice.serviceDays += day.serviceDays
  }
  return slices
}

function labels(edges: readonly number[], unit: string): string[] {
  const first = edges[0]
  const last = edges.at(-1)
  if (first === undefined || last === undefined) return ['all']
  const between = edges.slice(1).map((edge, i) => `${edges[i]} to ${edge} ${unit}`)
  return [`below ${first} ${unit}`, ...between, `${last} ${unit} and above`]
}

function rateOf(slices: readonly Slice[]): number {
  const days = slices.reduce((total, slice) => total + slice.serviceDays, 0)
  return days === 0 ? 0 : slices.reduce((total, slice) => total + slice.faults, 0) / days
}
