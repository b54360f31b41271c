// The standard normal distribution.

const seriesEnds = 3
/** Beyond this many standard deviations the chance left is less than the smallest double. */
const certain = 38

/**
 * Chance that a standard normal variable is at most z, to 13 digits in the lower tail too. Power series up to
 * 3 (Abramowitz & Stegun 26.2.11), continued fraction beyond (26.2.14).
 */
export function normalCdf(z: number): number {
  if (z > certain) return 1
  if (z < -certain) return 0
  if (Math.abs(z) < seriesEnds) return 0.5 + density(z) * series(z)
  return z > 0 ? 1 - tail(z) : tail(-z)
}

/** The z that is not exceeded with chance p, 0 < p < 1; ±Infinity at the ends. */
export function normalQuantile(p: number): number {
  if (p <= 0) return -Infinity
  if (p >= 1) return Infinity
  if (p > 0.5) return -normalQuantile(1 - p)
  let z = firstGuess(p)
  for (let i = 0; i < 4; i++) {
    const step = (normalCdf(z) - p) / density(z)
    z -= step / (1 + (z * step) / 2)
  }
  return z
}

function density(z: number): number {
  return Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI)
}

/** z + z³/3 + z⁵/(3·5) + … */
function series(z: number): number {
  let term = z
  let sum = z
  for (let n = 3; Math.abs(term) > 1e-17 * Math.abs(sum); n += 2) {
    term *= (z * z) / n
    sum += term
  }
  return sum
}

/** Chance above z: φ(z) ÷ (z + 1/(z + 2/(z + 3/…))), for z of 3 or more. */
function tail(z: number): number {
  let below = z
  for (let n = Math.ceil(10 + 1000 / z ** 2); n > 0; n--) below = z + n / below
  return density(z) / below
}

/** Abramowitz & Stegun 26.2.23, three digits; Halley's steps do the rest. */
function firstGuess(p: number): number {
  const t = Math.sqrt(-2 * Math.log(p))
  const top = 2.515517 + t * (0.802853 + t * 0.010328)
  return top / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308))) - t
}
