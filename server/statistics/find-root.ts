/**
 * Where `f` passes through zero between `low` and `high`, by Brent's method (Algorithms for Minimization
 * without Derivatives, 1973, ch. 4). `f` must not have the same sign at both ends; if it has, the end nearer
 * to zero is returned.
 */
export function findRoot(f: (x: number) => number, low: number, high: number): number {
  let [a, b] = [low, high]
  let [fa, fb] = [f(a), f(b)]
  if (fa === 0 || (fa > 0 === fb > 0 && Math.abs(fa) < Math.abs(fb))) return a
  if (fb === 0 || fa > 0 === fb > 0) return b
  let [c, fc, d, e] = [a, fa, b - a, b - a]
  for (let i = 0; i < 200; i++) {
    if (Math.abs(fc) < Math.abs(fb)) [a, b, c, fa, fb, fc] = [b, c, b, fb, fc, fb]
    const near = 2 * Number.EPSILON * Math.abs(b) + 1e-300
    const m = 0.5 * (c - b)
    if (Math.abs(m) <= near || fb === 0) return b
    const leap = interpolated(a, b, c, fa, fb, fc)
    const good = Math.abs(e) >= near && Math.abs(fa) > Math.abs(fb) && leapIsSafe(leap, m, e, near)
    ;[e, d] = good ? [d, leap] : [m, m]
    ;[a, fa] = [b, fb]
    b += Math.abs(d) > near ? d : Math.sign(m) * near
    fb = f(b)
    if (fb > 0 === fc > 0) [c, fc, d, e] = [a, fa, b - a, b - a]
  }
  return b
}

/** Secant when two points are the same, inverse quadratic otherwise. */
function interpolated(a: number, b: number, c: number, fa: number, fb: number, fc: number): number {
  const s = fb / fa
  if (a === c) return ((c - b) * s) / (1 - s)
  const q = fa / fc
  const r = fb / fc
  const p = s * ((c - b) * q * (q - r) - (b - a) * (r - 1))
  return -p / ((q - 1) * (r - 1) * (s - 1))
}

function leapIsSafe(leap: number, m: number, e: number, near: number): boolean {
  const within =
    leap * Math.sign(m) > 0 && Math.abs(leap) < Math.min(1.5 * Math.abs(m) - near / 2, Math.abs(e) / 2)
  return Number.isFinite(leap) && within
}
