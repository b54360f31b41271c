// How well a finding goes with one cause, or with something not in the tree.

import type { Evidence } from './evidence.ts'
import { agreesWith, chanceOf, type Likelihood } from './likelihood.ts'
import { chances } from './strengths.ts'

/** Chance of the finding under a cause; 1 when the finding tells nothing. */
export function chanceUnder(l: Likelihood, item: Evidence, cause: number, intermittent: boolean): number {
  return mixed(item, row => chanceOf(l, item.check, cause, row, intermittent))
}

/** The part of the finding, 0 to 1, that stands for rows the cause itself shows. */
export function agreement(l: Likelihood, item: Evidence, cause: number, intermittent: boolean): number {
  return mixed(item, row => (agreesWith(l, item.check, cause, row, intermittent) ? 1 : 0))
}

/**
 * The factor of each finding under "something not in this tree". It is of two kinds, one
 * where everything in the tree is healthy and one where anything may be found, so it
 * grows both when nothing is found and when what is found fits together with no cause.
 * The product is the chance of all findings; each factor follows from those before.
 */
export function outsideFactors(l: Likelihood, evidence: Evidence[]): number[] {
  let healthy: number = chances.outsideHealthy
  let anything = 1 - healthy
  return evidence.map(item => {
    const sumBefore = healthy + anything
    healthy *= mixed(item, row => l.healthyChance[item.check]?.[row] ?? 0)
    anything *= mixed(item, row => l.anyChance[item.check]?.[row] ?? 0)
    return (healthy + anything) / sumBefore
  })
}

/**
 * The factor of each finding under a cause. It shows at checks on the way to it alone, or at others too, where
 * then any row may be found; the factors follow as those of the outside do.
 */
export function causeFactors(
  l: Likelihood,
  evidence: Evidence[],
  cause: number,
  intermittent: boolean,
): number[] {
  let there: number = 1 - chances.showsElsewhere
  let elsewhere: number = chances.showsElsewhere
  return evidence.map(item => {
    const plain = chanceUnder(l, item, cause, intermittent)
    const onWay = l.onWay[item.check]?.[cause] === 1
    const sumBefore = there + elsewhere
    there *= plain
    elsewhere *= onWay ? plain : mixed(item, row => l.anyChance[item.check]?.[row] ?? 0)
    return sumBefore > 0 ? (there + elsewhere) / sumBefore : 0
  })
}

export function mixed(item: Evidence, chance: (row: number) => number): number {
  const { weights } = item
  if (!weights) return 1
  let sum = 0
  for (let row = 0; row < weights.length; row++) {
    const weight = weights[row] ?? 0
    if (weight > 0) sum += weight * chance(row)
  }
  return sum
}
