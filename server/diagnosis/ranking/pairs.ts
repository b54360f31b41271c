// Two faults at once, when no single cause agrees with everything found.

import type { Cause } from '../../knowledge/types.ts'
import type { Finding } from '../../walk/record.ts'
import type { Evidence } from './evidence.ts'
import { mixed } from './hypotheses.ts'
import { agreesWith, chanceOf, type Likelihood } from './likelihood.ts'
import type { Prior } from './priors.ts'
import { chances } from './strengths.ts'

export interface Pair {
  causes: [Cause, Cause]
  /** Among the pairs that agree with everything found, 0 to 1. */
  probability: number
}

/** Causes considered for pairing: those that explain most, and are then most likely. */
const mostPaired = 40
const mostShown = 10

/**
 * The pairs that agree with every finding, most likely first, at most ten. Of two faults, each check shows
 * the row of the one that makes it unhealthy; where both do, either. They are taken to have failed
 * independently. A cause that was mended may have been one of the two, so a mended cause is not left out.
 */
export function rankPairs(
  l: Likelihood,
  list: Prior[],
  evidence: Evidence[],
  rejected: Map<string, Finding>,
  intermittent: boolean,
): Pair[] {
  const told = evidence.filter(item => item.weights)
  const out = new Set([...rejected].flatMap(([key, f]) => (f.kind === 'rejection' && !f.mended ? [key] : [])))
  const picked = l.scope.causes
    .map((_, index) => index)
    .filter(index => !out.has(list[index]?.key ?? ''))
    .map(index => ({ index, explained: told.filter(item => explains(l, item, index)).length }))
    .filter(({ explained }) => explained > 0)
    .sort((a, b) => b.explained - a.explained || startOf(list, b.index) - startOf(list, a.index))
    .slice(0, mostPaired)
    .map(({ index }) => index)
  const scored = pairsOf(picked).flatMap(([a, b]) => {
    if (!told.every(item => together(l, item, a, b, agrees(l, intermittent)) >= chances.agrees)) return []
    const chance = told.reduce((all, item) => all * together(l, item, a, b, chanceFor(l, intermittent)), 1)
    return [{ a, b, score: startOf(list, a) * startOf(list, b) * chance }]
  })
  return shown(l, scored)
}

type RowScore = (check: number, cause: number, row: number) => number

function chanceFor(l: Likelihood, intermittent: boolean): RowScore {
  return (check, cause, row) => chanceOf(l, check, cause, row, intermittent)
}

function agrees(l: Likelihood, intermittent: boolean): RowScore {
  return (check, cause, row) => (agreesWith(l, check, cause, row, intermittent) ? 1 : 0)
}

/** Whether the cause shows, at this check, the unhealthy row that was found. */
function explains(l: Likelihood, item: Evidence, cause: number): boolean {
  const healthy = l.healthy[item.check] ?? -1
  return (
    mixed(item, row => (row !== healthy && agreesWith(l, item.check, cause, row) ? 1 : 0)) >= chances.agrees
  )
}

function together(l: Likelihood, item: Evidence, a: number, b: number, score: RowScore): number {
  const hidesA = showsHealthy(l, item.check, a)
  const hidesB = showsHealthy(l, item.check, b)
  if (hidesA !== hidesB) return mixed(item, row => score(item.check, hidesA ? b : a, row))
  return mixed(item, row => (score(item.check, a, row) + score(item.check, b, row)) / 2)
}

function showsHealthy(l: Likelihood, check: number, cause: number): boolean {
  const healthy = l.healthy[check] ?? -1
  return healthy >= 0 && agreesWith(l, check, cause, healthy)
}

/** How likely before anything was found: the product of the terms that do not come from findings. */
function startOf(list: Prior[], index: number): number {
  return list[index]?.start ?? 0
}

function pairsOf(picked: number[]): [number, number][] {
  return picked.flatMap((a, at) => picked.slice(at + 1).map((b): [number, number] => [a, b]))
}

function shown(l: Likelihood, scored: { a: number; b: number; score: number }[]): Pair[] {
  const sum = scored.reduce((all, pair) => all + pair.score, 0)
  if (!(sum > 0)) return []
  return scored
    .sort((x, y) => y.score - x.score || x.a - y.a || x.b - y.b)
    .slice(0, mostShown)
    .flatMap(({ a, b, score }) => {
      const [first, second] = [l.scope.causes[a], l.scope.causes[b]]
      return first && second ? [{ causes: [first, second] as [Cause, Cause], probability: score / sum }] : []
    })
}
