import { gammaAbove, gammaQuantile } from '../../statistics/chi-square.ts'
import type { Limits } from '../../statistics/poisson.ts'
import type { KindFit } from './kind-fit.ts'

/** A position's likely true rate: what its kind does, moved by what it did itself. In the unit of the fit's exposure. */
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
