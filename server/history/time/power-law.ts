// Faults whose rate grows or falls as a power of time: expected count λ T^β by time T; β above one is worsening.
// Crow, AMSAA TR-138 (1975); MIL-HDBK-189C.

import { findRoot } from '../../statistics/find-root.ts'
import { normalQuantile } from '../../statistics/normal.ts'
import type { Limits } from '../../statistics/poisson.ts'

export interface PowerLaw {
  beta: number
  lambda: number
  faults: number
}

export interface System {
  times: readonly number[]
  /** End of the watching, which was ended by time. */
  end: number
}

/** Most likely λ and β for systems watched from zero, each to its own end; null below two faults. */
export function fitPowerLaw(systems: readonly System[]): PowerLaw | null {
  const faults = systems.reduce((total, s) => total + s.times.length, 0)
  if (faults < 2) return null
  const longest = systems.reduce((most, s) => Math.max(most, s.end), 0)
  const logs = systems.flatMap(s => s.times.map(t => Math.log(t / longest)))
  const logSum = logs.reduce((a, b) => a + b, 0)
  const score = (beta: number) => {
    const powers = systems.map(s => (s.end / longest) ** beta)
    const weighted = powers.reduce(
      (total, p, i) => total + p * Math.log((systems[i]?.end ?? longest) / longest),
      0,
    )
    return faults / beta + logSum - (faults * weighted) / powers.reduce((a, b) => a + b, 0)
  }
  const beta = rootFromOne(score)
  const exposure = systems.reduce((total, s) => total + s.end ** beta, 0)
  return { beta, lambda: faults / exposure, faults }
}

/** The same from counts in successive intervals that start at zero; null below two faults. */
export function fitGroupedPowerLaw(ends: readonly number[], counts: readonly number[]): PowerLaw | null {
  const faults = counts.reduce((a, b) => a + b, 0)
  const last = ends.at(-1) ?? 0
  if (faults < 2 || last <= 0) return null
  const score = (beta: number) => {
    const weighted = (t: number) => (t === 0 ? 0 : (t / last) ** beta * Math.log(t / last))
    return ends.reduce((total, end, i) => {
      const start = ends[i - 1] ?? 0
      const share = (end / last) ** beta - (start / last) ** beta
      return total + ((counts[i] ?? 0) * (weighted(end) - weighted(start))) / share
    }, 0)
  }
  const beta = rootFromOne(score)
  return { beta, lambda: faults / last ** beta, faults }
}

/** β with its bias taken off, for one system ended by time, and λ to go with it. */
export function unbiased(fit: PowerLaw, end: number): PowerLaw {
  const beta = (fit.beta * (fit.faults - 1)) / fit.faults
  return { beta, lambda: fit.faults / end ** beta, faults: fit.faults }
}

/** Faults per unit of time at time t. */
export function intensityAt(fit: PowerLaw, t: number): number {
  return fit.lambda * fit.beta * t ** (fit.beta - 1)
}

/**
 * Limits of the present mean time between faults over the most likely one, for one system ended by time. Given the
 * sum of ln(T/t), the chance of n faults goes as xⁿ / n!(n−1)!; Crow 1982, Technometrics 24:67–72.
 */
export function presentLimits(faults: number, confidence: number): Limits {
  const tail = (1 - confidence) / 2
  const square = faults * faults
  const low = square / wideRoot(x => chanceUpTo(faults, x) - tail, square)
  const high = square / wideRoot(x => tail - (1 - chanceUpTo(faults - 1, x)), square)
  return { low, high }
}

/** The handbook's short formula for the same limits (NIST/SEMATECH e-Handbook 8.4.5.2), on the unbiased estimate. */
export function approximatePresentLimits(faults: number, confidence: number): Limits {
  const z = normalQuantile((1 + confidence) / 2)
  const top = faults * (faults - 1)
  return {
    low: top / (faults + z ** 2 / 4 + Math.sqrt((faults * z ** 2) / 2 + z ** 4 / 16)) ** 2,
    high: top / (faults - z * Math.sqrt(faults / 2)) ** 2,
  }
}

/** Chance of n faults or fewer (of at least one) where the terms go as xʲ / j!(j−1)!. */
function chanceUpTo(n: number, x: number): number {
  const peak = Math.max(1, Math.round(Math.sqrt(x)))
  const reach = peak + Math.ceil(12 * Math.sqrt(peak)) + 40
  let [term, below, total] = [1, peak <= n ? 1 : 0, 1]
  for (let j = peak + 1; j <= reach; j++) {
    term *= x / (j * (j - 1))
    total += term
    if (j <= n) below += term
  }
  term = 1
  for (let j = peak; j > 1; j--) {
    term *= (j * (j - 1)) / x
    total += term
    if (j - 1 <= n) below += term
  }
  return below / total
}

/** Root of a falling function of x > 0. */
function wideRoot(f: (x: number) => number, start: number): number {
  let [low, high] = [start / 2, start * 2]
  while (f(low) < 0 && low > 1e-12) low /= 2
  while (f(high) > 0) high *= 2
  return findRoot(f, low, high)
}

function rootFromOne(score: (beta: number) => number): number {
  let [low, high] = [0.5, 2]
  while (score(low) < 0 && low > 1e-9) low /= 2
  while (score(high) > 0 && high < 1e9) high *= 2
  return findRoot(score, low, high)
}
