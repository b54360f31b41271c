import { lowerGamma, upperGamma } from './gamma.ts'

/** Chance that a standard normal variable is at most z. */
export function normalBelow(z: number): number {
  return z < 0 ? 0.5 * upperGamma(0.5, (z * z) / 2) : 0.5 + 0.5 * lowerGamma(0.5, (z * z) / 2)
}

/** The z that is not exceeded with chance p, 0 < p < 1; ±Infinity at the ends. */
export function normalQuantile(p: number): number {
  if (p <= 0) return -Infinity
  if (p >= 1) return Infinity
  if (p > 0.5) return -normalQuantile(1 - p)
  let z = start(p)
  for (let i = 0; i < 4; i++) {
    const step = ((normalBelow(z) - p) * Math.sqrt(2 * Math.PI)) / Math.exp((-z * z) / 2)
    z -= step / (1 + (z * step) / 2)
  }
  return z
}

/** Abramowitz & Stegun 26.2.23, three digits; Halley's steps do the rest. */
function start(p: number): number {
  const t = Math.sqrt(-2 * Math.log(p))
  const top = 2.515517 + t * (0.802853 + t * 0.010328)
  return top / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308))) - t
}
