// Quantiles of a time that may be one of several, each with its own scatter.

import { findRoot } from '../../statistics/find-root.ts'
import { normalCdf } from '../../statistics/normal.ts'

export interface Component {
  /** Any scale. */
  weight: number
  /** Expected minutes. */
  mean: number
}

export interface Spread {
  mean: number
  median: number
  /** Nine in ten are done by then. */
  ninety: number
}

/** Log-normal about each mean, `scatter` being the standard deviation of the logarithm. All 0 when nothing has weight. */
export function spreadOf(components: Component[], scatter: number): Spread {
  const weight = components.reduce((sum, component) => sum + component.weight, 0)
  if (!(weight > 0)) return { mean: 0, median: 0, ninety: 0 }
  const mean = components.reduce((sum, component) => sum + component.weight * component.mean, 0) / weight
  const by = (minutes: number) =>
    components.reduce(
      (sum, component) => sum + component.weight * doneBy(component.mean, scatter, minutes),
      0,
    ) / weight
  return { mean, median: quantile(by, 0.5, components), ninety: quantile(by, 0.9, components) }
}

/** Chance that a log-normal time of this mean is over by `minutes`. */
function doneBy(mean: number, scatter: number, minutes: number): number {
  if (mean <= 0) return 1
  if (minutes <= 0) return 0
  if (scatter <= 0) return minutes >= mean ? 1 : 0
  return normalCdf((Math.log(minutes / mean) + (scatter * scatter) / 2) / scatter)
}

function quantile(by: (minutes: number) => number, part: number, components: Component[]): number {
  if (by(0) >= part) return 0
  let high = 1 + Math.max(...components.map(component => component.mean))
  while (by(high) < part) high *= 2
  return findRoot(minutes => by(minutes) - part, 0, high)
}
