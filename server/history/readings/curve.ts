import { studentBeyond } from '../../statistics/student.ts'
import { dot, mean, sumOfSquares } from './line.ts'

export interface Curve {
  /** y = b[0] + b[1] x + b[2] x², with the standard error of each. */
  b: [number, number, number]
  errors: [number, number, number]
  residual: number
  df: number
  explained: number
  leftOver: number
  r2: number
  /** Chance of a bend this strong if the truth were straight. */
  bendChance: number
}

/**
 * A quadratic by least squares, on x centred, scaled and made orthogonal, then put back in terms of x. Null
 * below four points or three different x.
 */
export function fitCurve(x: readonly number[], y: readonly number[]): Curve | null {
  const n = x.length
  const centre = mean(x)
  const scale = Math.max(...x.map(v => Math.abs(v - centre)))
  if (n < 4 || new Set(x).size < 3) return null
  const z = x.map(v => (v - centre) / scale)
  const w = bendColumn(z)
  const [zz, ww] = [dot(z, z), dot(w.column, w.column)]
  const meanY = mean(y)
  const dy = y.map(v => v - meanY)
  const c1 = dot(z, dy) / zz
  const c2 = dot(w.column, dy) / ww
  const leftOver = sumOfSquares(dy.map((v, i) => v - c1 * (z[i] ?? 0) - c2 * (w.column[i] ?? 0)))
  const df = n - 3
  const residual = Math.sqrt(leftOver / df)
  const explained = c1 * c1 * zz + c2 * c2 * ww
  const back = rowsInX(centre, scale, w.tilt, w.lift)
  const errors = [residual / Math.sqrt(n), residual / Math.sqrt(zz), residual / Math.sqrt(ww)]
  const bendError = errors[2] ?? 0
  return {
    b: back.map(row => dot(row, [meanY, c1, c2])) as Curve['b'],
    errors: back.map(row =>
      Math.sqrt(sumOfSquares(row.map((v, i) => v * (errors[i] ?? 0)))),
    ) as Curve['errors'],
    residual,
    df,
    explained,
    leftOver,
    r2: explained + leftOver === 0 ? 1 : explained / (explained + leftOver),
    bendChance: c2 === 0 ? 1 : bendError === 0 ? 0 : studentBeyond(c2 / bendError, df),
  }
}

/** z² with its mean and its slope on z taken out. */
function bendColumn(z: readonly number[]): { column: number[]; tilt: number; lift: number } {
  const squares = z.map(v => v * v)
  const lift = mean(squares)
  const tilt = dot(z, squares) / dot(z, z)
  return { column: z.map(v => v * v - tilt * v - lift), tilt, lift }
}

/** How each coefficient in x is made of the three orthogonal ones. */
function rowsInX(centre: number, scale: number, tilt: number, lift: number): number[][] {
  const shift = centre / scale
  return [
    [1, -shift, shift * shift + tilt * shift - lift],
    [0, 1 / scale, (-2 * shift - tilt) / scale],
    [0, 0, 1 / (scale * scale)],
  ]
}
