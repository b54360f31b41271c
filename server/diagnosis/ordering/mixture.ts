// Quantiles of a time that may be one of several, each with its own scatter.

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
  let low = 0
  let high = 1 + Math.max(...components.map(component => component.mean))
  while (by(high) < part) high *= 2
  for (let turn = 0; turn < 60; turn++) {
    const middle = (low + high) / 2
    if (by(middle) < part) low = middle
    else high = middle
  }
  return high
}

/** Standard normal distribution, to 1e-7 (Abramowitz and Stegun 26.2.17). */
export function normalCdf(x: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(x))
  const series =
    t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))))
  const tail = (Math.exp((-x * x) / 2) / Math.sqrt(2 * Math.PI)) * series
  return x >= 0 ? 1 - tail : tail
}
