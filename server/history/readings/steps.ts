// A sudden change of level in a reading. With no work on record it is probably unrecorded work.

import { studentBeyond } from '../../statistics/student.ts'
import { adjustedChanceWords, numberWords } from '../../words.ts'
import { type Explained, term } from '../explained.ts'
import { standOut } from '../false-discovery.ts'
import { fitLine, mean } from './line.ts'
import { type Break, cutAtBreaks, numbersOf, type SeriesReading } from './series.ts'

export interface Step {
  /** The last reading at the old level and the first at the new. */
  beforeMs: number
  afterMs: number
  from: number
  to: number
  /** Readings at each level. */
  n: [number, number]
  /**
   * At most this chance of such a step where there is none: Student's t times the places it could have been.
   */
  chance: number
}

const fewestEachSide = 3

/**
 * The likeliest place for a step in a run of readings without recorded work
 * between them; null when there are too few, or when a steady drift describes
 * them at least as well. The chance holds for normally scattered readings.
 */
export function likeliestStep(readings: readonly SeriesReading[]): Step | null {
  const { fromMs, days, values } = numbersOf(readings)
  const places = values.length - 2 * fewestEachSide + 1
  if (places < 1) return null
  const centre = mean(values)
  const lifted = values.map(value => value - centre)
  const splits = Array.from({ length: places }, (_, i) => splitAt(lifted, fewestEachSide + i))
  const best = splits.reduce((a, b) => (b.leftOver < a.leftOver ? b : a))
  const line = fitLine(days, values)
  if (line !== null && line.leftOver <= best.leftOver) return null
  const moment = (i: number) => fromMs + (days[i] ?? 0) * 86_400_000
  return {
    beforeMs: moment(best.at - 1),
    afterMs: moment(best.at),
    from: best.before + centre,
    to: best.after + centre,
    n: [best.at, values.length - best.at],
    chance: Math.min(1, places * chanceOf(best, values)),
  }
}

export interface UnrecordedWork<Series> {
  series: Series
  step: Step
  adjusted: number
  /** Stretches of readings looked at. */
  looked: number
}

/** Steps in the stretches between recorded work that stand out over all series at false-discovery rate q. */
export function findUnrecordedWork<
  Series extends { readings: readonly SeriesReading[]; breaks: readonly Break[] },
>(all: Iterable<Series>, q = 0.05): UnrecordedWork<Series>[] {
  const tested: { series: Series; step: Step | null }[] = []
  for (const series of all) {
    for (const segment of cutAtBreaks(series.readings, series.breaks)) {
      const enough = segment.readings.filter(r => r.value !== null).length >= 2 * fewestEachSide
      if (enough) tested.push({ series, step: likeliestStep(segment.readings) })
    }
  }
  return standOut(tested, t => t.step?.chance ?? 1, q).flatMap(({ row, adjusted }) =>
    row.step === null ? [] : [{ series: row.series, step: row.step, adjusted, looked: tested.length }],
  )
}

/** In words; the chance is the one adjusted for how many stretches were looked at. */
export function explainStep(
  step: Step,
  { adjusted, looked }: { adjusted: number; looked: number },
): Explained<'probable unrecorded work'> {
  const day = (ms: number) => new Date(ms).toISOString().slice(0, 10)
  const levels = `${numberWords(step.from)} to ${numberWords(step.to)}`
  return {
    value: 'probable unrecorded work',
    words: `Stepped from ${levels} between ${day(step.beforeMs)} and ${day(step.afterMs)} with no work recorded: ${adjustedChanceWords(adjusted, looked)}.`,
    terms: [
      term('before', step.from, `mean of ${step.n[0]} readings before`),
      term('after', step.to, `mean of ${step.n[1]} readings after`),
      term('chance', step.chance, 'two-sample t, times the places a step could have been'),
      term('adjusted', adjusted, 'the same, adjusted for how many were looked at (Benjamini–Hochberg)'),
    ],
  }
}

interface Split {
  at: number
  before: number
  after: number
  leftOver: number
}

function splitAt(values: readonly number[], at: number): Split {
  const [left, right] = [values.slice(0, at), values.slice(at)]
  const [before, after] = [mean(left), mean(right)]
  const about = (side: readonly number[], level: number) =>
    side.reduce((total, v) => total + (v - level) ** 2, 0)
  return { at, before, after, leftOver: about(left, before) + about(right, after) }
}

/**
 * Readings rounded to the same figure hide their scatter: it is taken as no less than the last digit's own.
 */
function chanceOf(split: Split, values: readonly number[]): number {
  const n = values.length
  const variance = Math.max(split.leftOver / (n - 2), lastDigit(values) ** 2 / 12)
  if (variance === 0) return 1
  const t = (split.after - split.before) / Math.sqrt(variance * (1 / split.at + 1 / (n - split.at)))
  return studentBeyond(t, n - 2)
}

/** The smallest difference between two readings that differ. */
function lastDigit(values: readonly number[]): number {
  const sorted = Float64Array.from(values).sort()
  let least = Infinity
  for (let i = 1; i < sorted.length; i++) {
    const gap = (sorted[i] ?? 0) - (sorted[i - 1] ?? 0)
    if (gap > 0 && gap < least) least = gap
  }
  return least === Infinity ? 0 : least
}
