// The normal distribution, to full double precision: the series near the middle, the continued fraction in the tails.
// (Textbook: Abramowitz and Stegun 26.2.11 and 26.2.14.)

const SERIES_ENDS = 3
const CERTAIN = 38

/** Chance that a standard normal value is at most `z`. */
export function normalCdf(z: number): number {
  if (Number.isNaN(z)) throw new RangeError('z is no number')
  if (z > CERTAIN) return 1
  if (z < -CERTAIN) return 0
  if (Math.abs(z) < SERIES_ENDS) return 0.5 + density(z) * series(z)
  return z > 0 ? 1 - tail(z) : tail(-z)
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

/** φ(z) ÷ (z + 1/(z + 2/(z + 3/…))), for z above 3. */
function tail(z: number): number {
  let below = z
  for (let n = Math.ceil(10 + 1000 / z ** 2); n > 0; n--) below = z + n / below
  return density(z) / below
}
