// How much positions of one kind differ among themselves: each position's true rate is taken as a draw from
// Gamma(shape, rate), the two numbers chosen to make the counts most likely (Gaver & O'Muircheartaigh 1987).

import { gammaAbove, gammaQuantile } from '../../statistics/chi-square.ts'
import { findRoot } from '../../statistics/find-root.ts'
import { logGamma } from '../../statistics/gamma.ts'
import type { Limits } from '../../statistics/poisson.ts'

export interface KindFit {
  shape: number
  /** In the unit of the exposure: shape / rate is the kind's mean fault rate. */
  rate: number
  mean: number
  logLikelihood: number
  positions: number
  faults: number
  exposure: number
  /** No spread beyond luck shows when the likeliest shape runs off to the largest one tried. */
  spread: 'seen' | 'none seen'
}

const smallestShape = 0.01
const largestShape = 1000

/**
 * Fits one kind; null without faults or without exposure.
 * Linear in the positions for each of some forty trials.
 */
export function fitKind(counts: ArrayLike<number>, exposures: ArrayLike<number>): KindFit | null {
  const kind = gather(counts, exposures)
  if (kind.faults === 0 || kind.exposure === 0) return null
  const shape = likeliestShape(kind)
  const mean = meanGiven(kind, shape)
  return {
    shape,
    rate: shape / mean,
    mean,
    logLikelihood: logLikelihood(kind, shape, shape / mean),
    positions: kind.counts.length,
    faults: kind.faults,
    exposure: kind.exposure,
    spread: shape >= largestShape ? 'none seen' : 'seen',
  }
}

interface Kind {
  counts: Float64Array
  exposures: Float64Array
  faults: number
  exposure: number
  /** At k: how many positions have more than k faults. */
  above: Float64Array
}

/** Positions without exposure say nothing and are left out. */
function gather(counts: ArrayLike<number>, exposures: ArrayLike<number>): Kind {
  const used = Array.from({ length: counts.length }, (_, i) => i).filter(i => (exposures[i] ?? 0) > 0)
  const x = Float64Array.from(used, i => counts[i] ?? 0)
  const t = Float64Array.from(used, i => exposures[i] ?? 0)
  const above = new Float64Array(x.reduce((a, b) => Math.max(a, b), 0) + 1)
  for (const count of x) above[count] = (above[count] ?? 0) + 1
  let more = 0
  for (let k = above.length - 1; k >= 0; k--) {
    const here = above[k] ?? 0
    above[k] = more
    more += here
  }
  return { counts: x, exposures: t, faults: sum(x), exposure: sum(t), above }
}

/** Best of the places where the slope turns from up to down, and of the two ends. */
function likeliestShape(kind: Kind): number {
  const [first, last] = [Math.log(smallestShape), Math.log(largestShape)]
  const grid = Array.from({ length: 12 }, (_, i) => first + ((last - first) * i) / 11)
  const slopes = grid.map(s => slope(kind, Math.exp(s)))
  const tops = [smallestShape, largestShape]
  for (let i = 1; i < grid.length; i++) {
    const [before, after] = [slopes[i - 1] ?? 0, slopes[i] ?? 0]
    if (before > 0 && after <= 0)
      tops.push(Math.exp(findRoot(s => slope(kind, Math.exp(s)), grid[i - 1] ?? first, grid[i] ?? last)))
  }
  const worth = (shape: number) => logLikelihood(kind, shape, shape / meanGiven(kind, shape))
  return tops.reduce((best, top) => (worth(top) > worth(best) ? top : best))
}

/** Derivative of the log likelihood by the shape, at the best mean for it. */
function slope(kind: Kind, shape: number): number {
  const mean = meanGiven(kind, shape)
  let total = 0
  for (let k = 0; k < kind.above.length; k++) total += (kind.above[k] ?? 0) / (shape + k)
  for (let i = 0; i < kind.counts.length; i++) {
    const load = (mean * (kind.exposures[i] ?? 0)) / shape
    total += -Math.log1p(load) + 1 - ((kind.counts[i] ?? 0) / shape + 1) / (1 + load)
  }
  return total
}

/**
 * The mean rate that makes the counts most likely for a given shape. The score falls ever more gently, so
 * that Newton's steps from below never pass its one root.
 */
function meanGiven(kind: Kind, shape: number): number {
  const { counts, exposures } = kind
  const scoreAndFall = (mean: number) => {
    let [score, fall] = [0, 0]
    for (let i = 0; i < counts.length; i++) {
      const t = exposures[i] ?? 0
      const weight = (shape + (counts[i] ?? 0)) / (shape + mean * t)
      score += weight - 1
      fall += (weight * t) / (shape + mean * t)
    }
    return { score, fall }
  }
  let mean = kind.faults / kind.exposure
  while (scoreAndFall(mean).score < 0) mean /= 2
  for (let i = 0; i < 100; i++) {
    const { score, fall } = scoreAndFall(mean)
    const next = mean + score / fall
    if (!(next > mean * (1 + 4e-16))) return mean
    mean = next
  }
  return mean
}

/** Negative-binomial log likelihood, constants included. */
function logLikelihood(kind: Kind, shape: number, rate: number): number {
  let total = 0
  const fixed = logGamma(shape)
  for (let i = 0; i < kind.counts.length; i++) {
    const [x, t] = [kind.counts[i] ?? 0, kind.exposures[i] ?? 0]
    total += logGamma(shape + x) - fixed - logGamma(x + 1)
    total += -shape * Math.log1p(t / rate) + (x === 0 ? 0 : x * Math.log(t / (rate + t)))
  }
  return total
}

function sum(values: Float64Array): number {
  return values.reduce((a, b) => a + b, 0)
}

/**
 * A position's likely true rate: what its kind does, moved by
 * what it did itself. In the unit of the fit's exposure.
 */
export function posteriorRate(fit: KindFit, faults: number, exposure: number): number {
  return (fit.shape + faults) / (fit.rate + exposure)
}

export function posteriorLimits(fit: KindFit, faults: number, exposure: number, confidence = 0.95): Limits {
  const tail = (1 - confidence) / 2
  const [shape, rate] = [fit.shape + faults, fit.rate + exposure]
  return { low: gammaQuantile(tail, shape, rate), high: gammaQuantile(1 - tail, shape, rate) }
}

/** Chance that the position's true rate is more than `times` its kind's mean. */
export function chanceWorse(fit: KindFit, faults: number, exposure: number, times = 2): number {
  return gammaAbove(times * fit.mean, fit.shape + faults, fit.rate + exposure)
}
