// The gamma function and the two halves of the incomplete gamma function, on which most of the rest stands.

const lanczos = [
  0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
  12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7,
]
const tiny = 1e-300

/** ln Γ(x) for x > 0. Lanczos' approximation (g = 7, nine terms), good to about 15 digits. */
export function logGamma(x: number): number {
  if (x < 0.5) return Math.log(Math.PI / Math.abs(Math.sin(Math.PI * x))) - logGamma(1 - x)
  const z = x - 1
  const t = z + 7.5
  const sum = lanczos.reduce((total, c, i) => (i === 0 ? c : total + c / (z + i)), 0)
  return 0.5 * Math.log(2 * Math.PI) + (z + 0.5) * Math.log(t) - t + Math.log(sum)
}

/** P(a, x), the chance that a gamma variable of shape a and scale 1 is at most x; a > 0, x ≥ 0. */
export function lowerGamma(a: number, x: number): number {
  if (x <= 0) return 0
  if (x === Infinity) return 1
  return x < a + 1 ? bySeries(a, x) : 1 - byFraction(a, x)
}

/** Q(a, x) = 1 − P(a, x), without losing small values to the subtraction. */
export function upperGamma(a: number, x: number): number {
  if (x <= 0) return 1
  if (x === Infinity) return 0
  return x < a + 1 ? 1 - bySeries(a, x) : byFraction(a, x)
}

/** ln of x^a e^−x / Γ(a + 1), kept accurate when a is large and x near it. */
function logPoissonTerm(a: number, x: number): number {
  if (a < 30) return a * Math.log(x) - x - logGamma(a + 1)
  const d = (x - a) / a
  return a * (Math.log1p(d) - d) - 0.5 * Math.log(2 * Math.PI * a) - stirlingRest(a)
}

/** Abramowitz & Stegun 6.5.29. */
function bySeries(a: number, x: number): number {
  let term = 1
  let sum = 1
  for (let n = 1; n < 100_000 && term > sum * 1e-17; n++) {
    term *= x / (a + n)
    sum += term
  }
  return Math.min(1, sum * Math.exp(logPoissonTerm(a, x)))
}

/** Abramowitz & Stegun 6.5.31, by Lentz's method. */
function byFraction(a: number, x: number): number {
  let b = x + 1 - a
  let c = 1 / tiny
  let d = 1 / b
  let h = d
  for (let i = 1; i < 100_000; i++) {
    const an = -i * (i - a)
    b += 2
    d = 1 / nonZero(an * d + b)
    c = nonZero(b + an / c)
    h *= d * c
    if (Math.abs(d * c - 1) < 1e-16) break
  }
  return Math.min(1, h * a * Math.exp(logPoissonTerm(a, x)))
}

function nonZero(x: number): number {
  return Math.abs(x) < tiny ? tiny : x
}

/** What Stirling's formula leaves out of ln Γ(a + 1). */
function stirlingRest(a: number): number {
  const s = 1 / (a * a)
  return (1 / 12 - s * (1 / 360 - s * (1 / 1260 - s / 1680))) / a
}
