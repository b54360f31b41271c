// Student's t for the spread of a few repeated readings: with three readings k = 2 is far too little.
// (Textbook: Abramowitz and Stegun 26.7.3 and 26.7.4, exact for whole degrees of freedom.)

/** Chance that |t| stays below `t` with `freedom` degrees of freedom, a whole number of 1 or more. */
export function studentWithin(t: number, freedom: number): number {
  const angle = Math.atan(t / Math.sqrt(freedom))
  const cosine = Math.cos(angle)
  if (freedom === 1) return (2 * angle) / Math.PI
  const odd = freedom % 2 === 1
  let term = odd ? cosine : 1
  let sum = term
  for (let n = odd ? 2 : 1; n <= freedom - 3; n += 2) {
    term *= (n / (n + 1)) * cosine ** 2
    sum += term
  }
  if (odd) return (2 / Math.PI) * (angle + Math.sin(angle) * sum)
  return Math.sin(angle) * sum
}

/** The t within which a share `within` of all values lies: 12.71 for 0.95 and one degree of freedom. */
export function studentFactor(within: number, freedom: number): number {
  if (!(within > 0 && within < 1) || !Number.isInteger(freedom) || freedom < 1)
    throw new RangeError('a share between 0 and 1 and one degree of freedom or more')
  let low = 0
  let high = 1
  while (studentWithin(high, freedom) < within) high *= 2
  for (let step = 0; step < 200 && high - low > 1e-14 * high; step++) {
    const middle = (low + high) / 2
    if (studentWithin(middle, freedom) < within) low = middle
    else high = middle
  }
  return (low + high) / 2
}
