// Chance from a seed, for invented histories: the same seed gives the same one.

export interface Chance {
  /** 0 ≤ x < 1 */
  next(): number
  below(n: number): number
  exponential(mean: number): number
  poisson(mean: number): number
  normal(): number
  gamma(shape: number, rate: number): number
}

/** The generator is mulberry32. */
export function seeded(seed: number): Chance {
  let state = seed >>> 0
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = Math.imul(state ^ (state >>> 15), state | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
  const exponential = (mean: number) => -mean * Math.log(1 - next())
  const normal = () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next())
  return {
    next,
    exponential,
    normal,
    below: n => Math.floor(n * next()),
    poisson: m => poisson(m, exponential),
    gamma: (k, r) => gamma(k, next, normal) / r,
  }
}

function poisson(mean: number, exponential: (mean: number) => number): number {
  let count = 0
  for (let reached = exponential(1); reached < mean; reached += exponential(1)) count++
  return count
}

/** Marsaglia and Tsang 2000, for shape of one or more. */
function gamma(shape: number, next: () => number, normal: () => number): number {
  const d = shape - 1 / 3
  const c = 1 / Math.sqrt(9 * d)
  for (;;) {
    const z = normal()
    const v = (1 + c * z) ** 3
    if (v > 0 && Math.log(1 - next()) < (z * z) / 2 + d - d * v + d * Math.log(v)) return d * v
  }
}
