import { describe, expect, it } from 'vitest'
import { acResistanceRatio, skinDepth } from '../../server/measurement/electrics/high-frequency.ts'
import { loopInductance, reactance, setSpeed, spacingFor } from '../../server/measurement/electrics/loop.ts'

const MPH = 0.44704

describe('copper at high frequency', () => {
  // Copper at 20 °C, mm (computed from √(2ρ/ωμ), ρ = 1.7241e-8).
  it.each([
    [50, 9.35, 2],
    [20_000, 0.467, 3],
    [64_250, 0.2607, 4],
    [65_000, 0.2592, 4],
    [65_250, 0.2587, 4],
    [66_250, 0.2567, 4],
  ])('has the skin depth at %s Hz', (frequency, depth, digits) => {
    expect(Math.abs(skinDepth(frequency) * 1000 - depth)).toBeLessThanOrEqual(10 ** -digits)
  })

  // Published for copper at 300 K with ρ = 1.7e-8, mm (secondary); ours at 300 K has ρ = 1.77e-8, 2 % more depth.
  it.each([
    [60, 8.5],
    [400, 3.3],
    [1000, 2.1],
    [5000, 0.93],
    [20_000, 0.46],
    [200_000, 0.15],
  ])('is near the published depth at %s Hz', (frequency, published) => {
    expect(Math.abs(skinDepth(frequency, 26.85) * 1000 - published) / published).toBeLessThan(0.04)
  })

  // AC over DC resistance of a solid round core at 65.25 kHz (computed with Bessel functions, to the last digit).
  it.each([
    [0.5, 1.11],
    [0.75, 1.22],
    [1, 1.35],
    [1.5, 1.6],
    [2.5, 2.0],
    [4, 2.45],
  ])('has the resistance ratio of %s mm²', (size, ratio) => {
    expect(Math.abs(acResistanceRatio(size * 1e-6, 65_250) - ratio)).toBeLessThanOrEqual(0.01)
  })

  it('agrees with a core cut into thin rings and solved as a network', () => {
    // An independent sum: dE/dr = jωμH and d(rH)/dr = rσE stepped outwards through the core (computed).
    for (const size of [0.5, 1.5, 4, 16])
      expect(acResistanceRatio(size * 1e-6, 65_250)).toBeCloseTo(steppedRatio(size * 1e-6, 65_250), 3)
  })

  it('runs into the thick-core approximation without a step', () => {
    // a/2δ + 1/4 + 3δ/32a (textbook asymptote, value from memory).
    const depth = skinDepth(1e6)
    for (const depths of [12, 25, 29.9, 30.1, 60]) {
      const ratio = acResistanceRatio(Math.PI * (depths * depth) ** 2, 1e6)
      expect(ratio).toBeCloseTo(depths / 2 + 0.25 + 3 / (32 * depths), 3)
    }
  })

  it('is 1 at low frequency', () => {
    expect(acResistanceRatio(1.5e-6, 50)).toBeCloseTo(1, 4)
  })
})

describe('inductance of a rectangle', () => {
  // a, b (m), r (mm): L with surface and with uniform current (µH), X at 65.25 kHz (computed; formula from memory).
  it.each([
    [1, 1, 1.0, 4.907, 5.107, 2.01],
    [2, 1, 1.0, 7.717, 8.017, 3.16],
    [1.8288, 1.8288, 0.814, 10.158, 10.524, 4.17],
    [0.8, 0.6, 0.9, 3.284, 3.424, 1.35],
    [1.0, 0.5, 1.0, 3.443, 3.593, 1.41],
  ])('has the worked value of %s × %s m', (length, width, radius, surface, uniform, ohms) => {
    const inductance = loopInductance(length, width, radius / 1000)
    expect(inductance * 1e6).toBeCloseTo(surface, 2)
    expect(loopInductance(length, width, radius / 1000, 0.5) * 1e6).toBeCloseTo(uniform, 2)
    expect(Math.abs(reactance(inductance, 65_250) - ohms)).toBeLessThanOrEqual(0.01)
  })

  it('agrees with the textbook square', () => {
    // Grover: L = 0.008·a·[ln(a/r) − 0.774 + δ] µH, lengths in cm (value from memory).
    for (const [side, radius] of [
      [1, 0.001],
      [2, 0.0015],
      [0.5, 0.0008],
    ] as const) {
      const square = 0.008 * side * 100 * (Math.log(side / radius) - 0.774)
      expect(loopInductance(side, side, radius) * 1e6).toBeCloseTo(square, 2)
    }
  })
})

describe('spacing and set speed', () => {
  // d = v·t with v = 0.44704 m/s per mph; timers 974 ms and 1218 ms (values from memory); table computed.
  it.each([
    [10, 4.35, 5.44],
    [15, 6.53, 8.17],
    [20, 8.71, 10.89],
    [25, 10.89, 13.61],
    [30, 13.06, 16.33],
    [40, 17.42, 21.78],
    [45, 19.59, 24.5],
    [50, 21.77, 27.22],
    [60, 26.13, 32.67],
    [65, 28.3, 35.39],
    [75, 32.66, 40.84],
    [100, 43.54, 54.45],
  ])('has the spacing for %s mph', (mph, passenger, freight) => {
    expect(Math.abs(spacingFor(mph * MPH, 0.974) - passenger)).toBeLessThanOrEqual(0.0051)
    expect(Math.abs(spacingFor(mph * MPH, 1.218) - freight)).toBeLessThanOrEqual(0.0051)
  })

  it('lies between the published ends of 4 m and 36 m', () => {
    // 4 to 36 m (secondary): 9.2 and 82.7 mph with the shorter timer, 7.3 and 66.1 with the longer (computed).
    expect(setSpeed(4, 0.974) / MPH).toBeCloseTo(9.2, 1)
    expect(setSpeed(36, 0.974) / MPH).toBeCloseTo(82.7, 1)
    expect(setSpeed(4, 1.218) / MPH).toBeCloseTo(7.3, 1)
    expect(setSpeed(36, 1.218) / MPH).toBeCloseTo(66.1, 1)
  })
})

/** R(AC)/R(DC) by stepping the field outwards from the axis in fine rings (midpoint rule). */
function steppedRatio(area: number, frequency: number): number {
  const radius = Math.sqrt(area / Math.PI)
  const turn = 2 * Math.PI * frequency * 4e-7 * Math.PI
  const conductivity = 58e6
  const steps = 40_000
  const dr = radius / steps
  const field = { re: 1, im: 0 }
  const current = { re: 0, im: 0 }
  for (let step = 0; step < steps; step++) {
    const r = (step + 0.5) * dr
    const half = {
      re: current.re + (conductivity * field.re * 2 * Math.PI * r * dr) / 2,
      im: current.im + (conductivity * field.im * 2 * Math.PI * r * dr) / 2,
    }
    field.re += (-turn * half.im * dr) / (2 * Math.PI * r)
    field.im += (turn * half.re * dr) / (2 * Math.PI * r)
    current.re += conductivity * field.re * 2 * Math.PI * r * dr
    current.im += conductivity * field.im * 2 * Math.PI * r * dr
  }
  const size = current.re ** 2 + current.im ** 2
  const resistance = (field.re * current.re + field.im * current.im) / size
  return resistance * conductivity * area
}
