// Copper at high frequency: the current keeps to the skin, so
// a DC ohmmeter does not read what the loop current meets.
//
// Skin depth √(2ρ ÷ ωμ). A solid round core's AC/DC ratio is the real part of (ka/2)·J0(ka) ÷ J1(ka), k = (1
// − j)/δ; both are textbook field theory (computed).

import { formatQuantity } from '../readings/format.ts'
import { Impossible, needPositive } from '../readings/impossible.ts'
import { checkCopperTemperature, RESISTIVITY_MM2, temperatureFactor } from './copper.ts'

const MAGNETIC_CONSTANT = 4e-7 * Math.PI
/** Above this radius in skin depths the power series grows too large to hold its digits. */
const SERIES_ENDS = 30

/** Depth in metres at which the current has fallen to 37 %. `frequency` in Hz, `temperature` in °C. */
export function skinDepth(frequency: number, temperature = 20): number {
  checkCopperTemperature(temperature)
  needPositive('frequency', frequency, formatQuantity(frequency, 'Hz'))
  const resistivity = RESISTIVITY_MM2 * 1e-6 * temperatureFactor(temperature)
  return Math.sqrt((2 * resistivity) / (2 * Math.PI * frequency * MAGNETIC_CONSTANT))
}

/** AC over DC resistance of a solid round copper core of `area` m²; 1 or more. */
export function acResistanceRatio(area: number, frequency: number, temperature = 20): number {
  needPositive('core size', area, formatQuantity(area * 1e6, 'mm²'))
  const radius = Math.sqrt(area / Math.PI) / skinDepth(frequency, temperature)
  if (!Number.isFinite(radius)) throw new Impossible('The core is too large for the sum.')
  return radius > SERIES_ENDS ? radius / 2 + 0.25 + 3 / (32 * radius) : besselRatio(radius)
}

/**
 * Real part of Σ zⁿ/(n!)² over Σ zⁿ/(n!(n+1)!), z = j·(a/δ)²/2: the two Bessel series, common factors gone.
 */
function besselRatio(radiusInDepths: number): number {
  const z = radiusInDepths ** 2 / 2
  let term: Complex = { re: 1, im: 0 }
  let top = term
  let bottom = term
  for (let n = 1; n < 400; n++) {
    term = { re: (-term.im * z) / n ** 2, im: (term.re * z) / n ** 2 }
    top = add(top, term, 1)
    bottom = add(bottom, term, 1 / (n + 1))
    if (Math.abs(term.re) + Math.abs(term.im) < 1e-17 * (Math.abs(bottom.re) + Math.abs(bottom.im))) break
  }
  return (top.re * bottom.re + top.im * bottom.im) / (bottom.re ** 2 + bottom.im ** 2)
}

interface Complex {
  re: number
  im: number
}

function add(sum: Complex, term: Complex, times: number): Complex {
  return { re: sum.re + term.re * times, im: sum.im + term.im * times }
}
