// Linear equations with complex numbers, solved by Gaussian elimination with partial pivoting.

/** A square matrix and its right-hand side, row by row, real and imaginary parts apart. */
export interface ComplexSystem {
  size: number
  /** `size` rows of `size + 1`; the last of a row is its right-hand side. */
  re: Float64Array
  im: Float64Array
}

export interface ComplexVector {
  re: Float64Array
  im: Float64Array
}

export function emptySystem(size: number): ComplexSystem {
  return { size, re: new Float64Array(size * (size + 1)), im: new Float64Array(size * (size + 1)) }
}

/** The solution; the system is used up. Throws RangeError where it has none or more than one. */
export function eliminate(system: ComplexSystem): ComplexVector {
  const { size } = system
  for (let column = 0; column < size; column++) {
    swapRows(system, column, largestBelow(system, column))
    for (let row = column + 1; row < size; row++) clear(system, row, column)
  }
  return substituteBack(system)
}

function largestBelow({ size, re, im }: ComplexSystem, column: number): number {
  let best = column
  let most = 0
  for (let row = column; row < size; row++) {
    const at = row * (size + 1) + column
    const weight = Math.hypot(re[at] ?? 0, im[at] ?? 0)
    if (weight > most) [best, most] = [row, weight]
  }
  if (most === 0) throw new RangeError('The equations have no single solution.')
  return best
}

function swapRows({ size, re, im }: ComplexSystem, a: number, b: number): void {
  if (a === b) return
  for (const part of [re, im]) {
    const kept = part.slice(a * (size + 1), (a + 1) * (size + 1))
    part.copyWithin(a * (size + 1), b * (size + 1), (b + 1) * (size + 1))
    part.set(kept, b * (size + 1))
  }
}

/** Takes as much of the pivot row from `row` as leaves nothing in `column`. */
function clear({ size, re, im }: ComplexSystem, row: number, column: number): void {
  const [from, pivot] = [row * (size + 1), column * (size + 1)]
  const [ar, ai] = [re[from + column] ?? 0, im[from + column] ?? 0]
  if (ar === 0 && ai === 0) return
  const [pr, pi] = [re[pivot + column] ?? 0, im[pivot + column] ?? 0]
  const norm = pr * pr + pi * pi
  const [fr, fi] = [(ar * pr + ai * pi) / norm, (ai * pr - ar * pi) / norm]
  for (let at = column; at <= size; at++) {
    const [br, bi] = [re[pivot + at] ?? 0, im[pivot + at] ?? 0]
    re[from + at] = (re[from + at] ?? 0) - (fr * br - fi * bi)
    im[from + at] = (im[from + at] ?? 0) - (fr * bi + fi * br)
  }
}

function substituteBack({ size, re, im }: ComplexSystem): ComplexVector {
  const solution = { re: new Float64Array(size), im: new Float64Array(size) }
  for (let row = size - 1; row >= 0; row--) {
    const at = row * (size + 1)
    let [sr, si] = [re[at + size] ?? 0, im[at + size] ?? 0]
    for (let column = row + 1; column < size; column++) {
      const [ar, ai] = [re[at + column] ?? 0, im[at + column] ?? 0]
      const [xr, xi] = [solution.re[column] ?? 0, solution.im[column] ?? 0]
      sr -= ar * xr - ai * xi
      si -= ar * xi + ai * xr
    }
    const [pr, pi] = [re[at + row] ?? 0, im[at + row] ?? 0]
    const norm = pr * pr + pi * pi
    solution.re[row] = (sr * pr + si * pi) / norm
    solution.im[row] = (si * pr - sr * pi) / norm
  }
  return solution
}
