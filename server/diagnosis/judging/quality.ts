// Is the ranking any good? The history replayed, each fault judged by all the others.

import { causeKey } from '../../knowledge/graph.ts'
import type { Knowledge } from '../../knowledge/types.ts'
import { countsFor, outsideKey, type PastFault } from '../ranking/cause-counts.ts'
import { type Likelihood, likelihoodOf } from '../ranking/likelihood.ts'
import { rank } from '../ranking/rank.ts'
import { type OrderMinutes, replayMinutes } from './replay.ts'
import { amongFirst, brierScore, type CalibrationBin, calibration, type Forecast } from './scores.ts'

export interface Quality {
  /** Faults judged: closed, with a cause, on a tree of this edition. */
  n: number
  /** Faults left out for want of these. */
  leftOut: number
  /**
   * How often the true cause was first, and among the first
   * three, as the fault was reported; null when n is 0.
   */
  first: number | null
  firstThree: number | null
  /** Brier's score summed over all causes and the outside: 0 perfect, 2 worst. */
  brier: number | null
  bins: CalibrationBin[]
  /** Minutes to the proven cause, summed over the faults whose cause is in their tree. */
  minutes: OrderMinutes
  /** The same for faults at positions with at least three earlier ones. */
  repeaters: OrderMinutes
}

/** Earlier faults at a position that make it a repeater here. */
const repeats = 3

/**
 * Replays closed faults leave-one-out: the history of each is all the others. The ranking is judged as it was
 * when the fault was reported, before any check. Minutes are those of the plan, by the author's times.
 */
export function qualityOf(knowledge: Knowledge, past: readonly PastFault[]): Quality {
  const judged = past.filter(fault => fault.cause !== null && likelihoodOf(knowledge, fault.tree) !== null)
  const forecasts = judged.flatMap(fault => forecastOf(knowledge, past, fault) ?? [])
  const replayed = replayMinutes(knowledge, past, judged)
  const again = new Set(judged.filter(fault => earlier(past, fault) >= repeats).map(fault => fault.id))
  return {
    n: forecasts.length,
    leftOut: past.length - forecasts.length,
    first: amongFirst(forecasts, 1),
    firstThree: amongFirst(forecasts, 3),
    brier: brierScore(forecasts),
    bins: calibration(forecasts),
    minutes: summed(replayed.map(item => item.minutes)),
    repeaters: summed(replayed.filter(item => again.has(item.id)).map(item => item.minutes)),
  }
}

function forecastOf(knowledge: Knowledge, past: readonly PastFault[], fault: PastFault): Forecast | null {
  const l = likelihoodOf(knowledge, fault.tree)
  if (!l) return null
  const ranking = rank(knowledge, fault.tree, [], countsFor(past, fault))
  const keys = [...ranking.causes.map(({ cause }) => causeKey(cause)), outsideKey]
  const chances = [...ranking.causes.map(({ probability }) => probability), ranking.outside.probability]
  return { chances, happened: keys.indexOf(inScope(l, fault) ? (fault.cause ?? '') : outsideKey) }
}

function inScope(l: Likelihood, fault: PastFault): boolean {
  return l.scope.causeAt.has(fault.cause ?? '')
}

function earlier(past: readonly PastFault[], fault: PastFault): number {
  return past.filter(other => other.positionId === fault.positionId && other.reportedAt < fault.reportedAt)
    .length
}

function summed(list: OrderMinutes[]): OrderMinutes {
  const all: OrderMinutes = { n: 0, author: 0, suggested: 0, best: 0, bestExact: 0 }
  for (const item of list) {
    all.n += item.n
    all.author += item.author
    all.suggested += item.suggested
    all.best += item.best
    all.bestExact += item.bestExact
  }
  return all
}
