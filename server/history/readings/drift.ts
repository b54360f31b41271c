// Does a reading drift towards its limit, and when will it get
// there? Only what the readings can bear is said.

import { chanceWords, countWords, durationWords, numberWords } from '../../words.ts'
import { cannotSay, type Explained, term } from '../explained.ts'
import { dayMs } from '../positions/exposure.ts'
import { yearDays } from '../positions/fault-rate.ts'
import { fitCurve } from './curve.ts'
import { crossing, fitLine, type Line } from './line.ts'
import { type MannKendall, mannKendall } from './mann-kendall.ts'
import { type Break, cutAtBreaks, numbersOf, type Segment, type SeriesReading } from './series.ts'
import { type TheilSen, theilSen } from './theil-sen.ts'

export interface CrossingDate {
  atMs: number
  earliestMs: number
  latestMs: number
  limit: number
}

export interface Drift {
  segments: Segment[]
  /** Of the last segment, as are all below; null with fewer than six readings since the last break. */
  trend: MannKendall | null
  slope: TheilSen | null
  line: Line | null
  /** Moment of day 0 of the two fits. */
  fromMs: number
  crosses: Explained<CrossingDate | null>
  /** Two-sided chance of the trend, for looking across many series. */
  chance: number | null
}

const fewest = 6
/** No date is given further ahead than the readings reach back. */
const reachAhead = 1

/**
 * The drift since the last break, and the date of crossing the
 * last limit with 95 % limits, or why none is given.
 */
export function driftOf(readings: readonly SeriesReading[], breaks: readonly Break[], atMost = 0.05): Drift {
  const segments = cutAtBreaks(readings, breaks)
  const last = segments.at(-1)?.readings ?? []
  const { fromMs, days, values } = numbersOf(last)
  const none = { segments, trend: null, slope: null, line: null, fromMs, chance: null }
  const trend = values.length < fewest ? null : mannKendall(values)
  const slope = trend && theilSen(days, values)
  const line = trend && fitLine(days, values)
  if (trend === null || slope === null || line === null)
    return {
      ...none,
      crosses: cannotSay(
        `Cannot say: ${countWords(values.length, 'reading')} since the last change, ${fewest} are needed.`,
      ),
    }
  const series = { fromMs, days, values, limit: limitAhead(last, slope.slope) }
  return {
    segments,
    trend,
    slope,
    line,
    fromMs,
    crosses: crossingDate(series, trend, slope, line, atMost),
    chance: trend.chance,
  }
}

interface Numbers {
  fromMs: number
  days: number[]
  values: number[]
  /** The limit the readings move towards; null when there is none on that side. */
  limit: number | null
}

function limitAhead(readings: readonly SeriesReading[], slope: number): number | null {
  const latest = readings.at(-1)
  return (slope > 0 ? latest?.max : latest?.min) ?? null
}

/** The two fits must both bear a date; the interval given is the wider of the two. */
function crossingDate(
  series: Numbers,
  trend: MannKendall,
  slope: TheilSen,
  line: Line,
  atMost: number,
): Drift['crosses'] {
  const terms = termsOf(trend, slope, line)
  const bend = fitCurve(series.days, series.values)?.bendChance ?? 1
  if (trend.chance > atMost || slope.slope === 0) return cannotSay('No drift seen.', terms)
  if (series.limit === null)
    return cannotSay('There is a drift, but no limit on the side it moves to.', terms)
  if (bend < 0.01) return cannotSay('Cannot say when: the drift is not a straight line.', terms)
  const robust = robustCrossing(slope, series.limit)
  const exact = crossing(line, series.limit)
  const bounds =
    exact === null || exact.low === null || exact.high === null ? null : { low: exact.low, high: exact.high }
  if (bounds === null || robust.high === null)
    return cannotSay('Cannot say when: the slope is too uncertain for any interval.', terms)
  const days = {
    at: robust.at,
    low: Math.min(bounds.low, robust.low),
    high: Math.max(bounds.high, robust.high),
  }
  return dated(series, series.limit, days, terms)
}

function dated(
  series: Numbers,
  limit: number,
  days: { at: number; low: number; high: number },
  terms: Explained['terms'],
): Drift['crosses'] {
  const seen = series.days.at(-1) ?? 0
  const date = (day: number) => series.fromMs + day * dayMs
  const value = { atMs: date(days.at), earliestMs: date(days.low), latestMs: date(days.high), limit }
  const all = [
    ...terms,
    term('earliest', dayWords(value.earliestMs), 'the earlier of the two fits’ 95 % limits'),
    term('latest', dayWords(value.latestMs), 'the later of the two fits’ 95 % limits'),
  ]
  if (days.high < seen)
    return { value, words: `Crossed ${numberWords(limit)} by about ${dayWords(value.atMs)}.`, terms: all }
  if (days.at > seen * (1 + reachAhead))
    return cannotSay(
      `Cannot say when: further ahead than the ${durationWords(seen)} watched. Not before ${dayWords(value.earliestMs)}.`,
      all,
    )
  const span = `${dayWords(value.earliestMs)} to ${dayWords(value.latestMs)}`
  return {
    value,
    words: `Reaches ${numberWords(limit)} about ${dayWords(value.atMs)} (${span}).`,
    terms: all,
  }
}

/**
 * Lines from the medians with the extreme slopes; no latest date when the slope could be level or turn back.
 */
function robustCrossing(slope: TheilSen, limit: number): { at: number; low: number; high: number | null } {
  const rise = limit - slope.medianY
  const reach = (s: number) => slope.medianX + rise / s
  const ends = [reach(slope.low), reach(slope.high)]
  const sure = slope.low * slope.high > 0
  return { at: reach(slope.slope), low: Math.min(...ends), high: sure ? Math.max(...ends) : null }
}

function termsOf(trend: MannKendall, slope: TheilSen, line: Line): Explained['terms'] {
  return [
    term('readings', trend.n, 'numbers since the last change'),
    term(
      'Mann–Kendall',
      trend.s,
      `rising pairs less falling pairs; ${chanceWords(trend.chance)} (${trend.method})`,
    ),
    term(
      'slope',
      slope.slope * yearDays,
      `median slope a year (Theil–Sen), ${numberWords(slope.low * yearDays)} to ${numberWords(slope.high * yearDays)}`,
    ),
    term(
      'least squares',
      line.slope * yearDays,
      `slope a year by least squares, ± ${numberWords(line.slopeError * yearDays)} standard error`,
    ),
    term('scatter', line.residual, 'standard deviation of the readings about the line'),
  ]
}

/** ISO date; the page may show it its own way from the value. */
function dayWords(ms: number): string {
  const date = new Date(ms)
  return Number.isNaN(date.getTime()) ? 'beyond any calendar' : date.toISOString().slice(0, 10)
}
