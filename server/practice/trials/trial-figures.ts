// What many trials say of the diagnosis, each figure with its 95 % limits.

import { wilson } from '../../history/no-fault-found.ts'
import type { Chance } from '../chance.ts'
import type { Tried } from './trial-run.ts'
import type { Stated, TrialWalk } from './trial-walk.ts'

/** `low` and `high` are 95 % limits; NaN without a case. */
export interface TrialFigure {
  value: number
  low: number
  high: number
  n: number
}

export interface TrialFigures {
  /** Minutes by the suggestions over minutes by the author's order, of faults that both came to. */
  minutes: TrialFigure
  /** Mean difference between the chance said of what stood first and how often it was so, over ten bands. */
  calibration: TrialFigure
  /** Walks in which a false cause was mended that stood over 90 %. */
  confidentlyWrong: TrialFigure
  /** Of walks whose cause is in the tree: ended with a true cause over 90 %. */
  confidentAndRight: TrialFigure
  /** Of walks whose cause is not in the tree: ended as such. */
  unknownNoticed: TrialFigure
  /** Of walks whose cause is in the tree: ended as something else. */
  unknownFalseAlarm: TrialFigure
  /** Of walks whose cause is in the tree, brought to it: by the suggestions and by the author's order. */
  reached: TrialFigure
  reachedByAuthor: TrialFigure
}

/** A chance that counts as confident. */
const CONFIDENT = 0.9
const BANDS = 10
const RESAMPLES = 400

export function trialFigures(tried: readonly Tried[], chance: Chance): TrialFigures {
  const foreseen = tried.filter(one => one.foreseen)
  const unforeseen = tried.filter(one => !one.foreseen)
  const reaches = (walk: TrialWalk) => walk.end === 'cause'
  return {
    minutes: resampled(tried, minutesRatio, chance),
    calibration: resampled(tried, calibrationError, chance),
    confidentlyWrong: shareOf(tried, ({ suggestions }) => confidentlyWrong(suggestions)),
    confidentAndRight: shareOf(foreseen, ({ suggestions }) => confidentAndRight(suggestions)),
    unknownNoticed: shareOf(unforeseen, ({ suggestions }) => suggestions.end === 'outside'),
    unknownFalseAlarm: shareOf(foreseen, ({ suggestions }) => suggestions.end === 'outside'),
    reached: shareOf(foreseen, ({ suggestions }) => reaches(suggestions)),
    reachedByAuthor: shareOf(foreseen, ({ author }) => reaches(author)),
  }
}

function confidentlyWrong({ mended }: TrialWalk): boolean {
  return mended.some(one => !one.true && one.chance > CONFIDENT)
}

function confidentAndRight({ mended }: TrialWalk): boolean {
  return mended.some(one => one.true && one.chance > CONFIDENT)
}

function minutesRatio(tried: readonly Tried[]): number {
  const both = tried.filter(
    ({ author, suggestions }) => author.end === 'cause' && suggestions.end === 'cause',
  )
  const sum = (of: (one: Tried) => number) => both.reduce((all, one) => all + one.weight * of(one), 0)
  return sum(({ suggestions }) => suggestions.minutes) / sum(({ author }) => author.minutes)
}

/** Over the bands of ten per cent, by how often each was said. */
export function calibrationError(tried: readonly Tried[]): number {
  const bands = Array.from({ length: BANDS }, () => ({ n: 0, said: 0, true: 0 }))
  let all = 0
  for (const { weight, suggestions } of tried) {
    for (const stated of suggestions.first) {
      const band = bands[bandOf(stated)]
      if (!band) continue
      all += weight
      band.n += weight
      band.said += weight * stated.chance
      band.true += stated.true ? weight : 0
    }
  }
  return bands.reduce((sum, band) => sum + Math.abs(band.said - band.true), 0) / all
}

function bandOf({ chance }: Stated): number {
  return Math.min(BANDS - 1, Math.max(0, Math.floor(chance * BANDS)))
}

function shareOf(tried: readonly Tried[], holds: (one: Tried) => boolean): TrialFigure {
  const n = tried.length
  const all = tried.reduce((sum, { weight }) => sum + weight, 0)
  const share = tried.reduce((sum, one) => sum + (holds(one) ? one.weight : 0), 0) / all
  const { low, high } = wilson(Math.round(share * n), n)
  return { value: share, low: low ?? Number.NaN, high: high ?? Number.NaN, n }
}

/** Limits by drawing as many trials again, with repeats (bootstrap; Efron 1979). */
function resampled(
  tried: readonly Tried[],
  figure: (tried: readonly Tried[]) => number,
  chance: Chance,
): TrialFigure {
  const values = Array.from({ length: RESAMPLES }, () => figure(tried.map(() => chance.pick(tried))))
    .filter(Number.isFinite)
    .sort((a, b) => a - b)
  const at = (part: number) => values[Math.round(part * (values.length - 1))] ?? Number.NaN
  return { value: figure(tried), low: at(0.025), high: at(0.975), n: tried.length }
}
