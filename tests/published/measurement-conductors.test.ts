import { describe, expect, it } from 'vitest'
import { loopResistance } from '../../server/measurement/electrics/calculators.ts'
import {
  coreResistance,
  pairResistance,
  RESISTIVITY_MM2,
  temperatureFactor,
} from '../../server/measurement/electrics/copper.ts'

describe('copper cores against IEC 60228', () => {
  // IEC 60228 greatest resistance at 20 °C, ohm/km (secondary: three cable makers' tables agree).
  it.each([
    [0.5, 36.0, 36.7, 39.0, 40.1],
    [0.75, 24.5, 24.8, 26.0, 26.7],
    [1, 18.1, 18.2, 19.5, 20.0],
    [1.5, 12.1, 12.2, 13.3, 13.7],
    [2.5, 7.41, 7.56, 7.98, 8.21],
    [4, 4.61, 4.7, 4.95, 5.09],
    [6, 3.08, 3.11, 3.3, 3.39],
    [10, 1.83, 1.84, 1.91, 1.95],
    [16, 1.15, 1.16, 1.21, 1.24],
  ])('has %s mm² in every class', (size, plain, coated, flexible, tinned) => {
    expect(coreResistance(size).greatest * 1000).toBeCloseTo(plain, 9)
    expect(coreResistance(size, 20, 'class 1 metal-coated').greatest * 1000).toBeCloseTo(coated, 9)
    expect(coreResistance(size, 20, 'class 5').greatest * 1000).toBeCloseTo(flexible, 9)
    expect(coreResistance(size, 20, 'class 6 tinned').greatest * 1000).toBeCloseTo(tinned, 9)
  })

  // Factor to bring R(t) to 20 °C, 254.5/(234.5 + t) (IEC 60228 annex, value from memory; figures computed).
  it.each([
    [-20, 1.186],
    [-10, 1.134],
    [0, 1.085],
    [5, 1.063],
    [10, 1.041],
    [20, 1.0],
    [30, 0.962],
    [40, 0.927],
    [50, 0.895],
    [60, 0.864],
  ])('takes the exact factor at %s °C', (temperature, factor) => {
    expect(1 / temperatureFactor(temperature)).toBeCloseTo(factor, 3)
  })

  // A cable maker's tabulated factors (secondary) use 250/(230 + t); the exact one may differ by 0.002.
  it.each([
    [5, 1.064],
    [10, 1.042],
    [15, 1.02],
    [25, 0.98],
    [30, 0.962],
    [35, 0.943],
    [40, 0.926],
    [45, 0.909],
    [50, 0.893],
  ])('stays within 0.002 of the printed table at %s °C', (temperature, printed) => {
    expect(Math.abs(1 / temperatureFactor(temperature) - printed)).toBeLessThanOrEqual(0.0021)
  })

  // Resistance of a 100 m twin run, ohm, 2·L·r·(234.5 + t)/254.5 with r at 20 °C (computed from the table above, to the last digit).
  it.each([
    [0.5, 6.351, 6.634, 7.2, 7.766],
    [0.75, 4.322, 4.515, 4.9, 5.285],
    [1, 3.193, 3.336, 3.62, 3.905],
    [1.5, 2.135, 2.23, 2.42, 2.61],
    [2.5, 1.307, 1.366, 1.482, 1.599],
    [4, 0.813, 0.85, 0.922, 0.995],
    [6, 0.543, 0.568, 0.616, 0.664],
    [10, 0.323, 0.337, 0.366, 0.395],
    [16, 0.203, 0.212, 0.23, 0.248],
  ])('works out the pair of %s mm²', (size, cold, freezing, mild, hot) => {
    const at = (temperature: number) => loopResistance({ length: 100, size, temperature }).value
    expect(Math.abs(at(-10) - cold)).toBeLessThanOrEqual(0.001)
    expect(Math.abs(at(0) - freezing)).toBeLessThanOrEqual(0.001)
    expect(Math.abs(at(20) - mild)).toBeLessThanOrEqual(0.001)
    expect(Math.abs(at(40) - hot)).toBeLessThanOrEqual(0.001)
  })

  it('knows the least that copper can have', () => {
    // 0.017241 ohm·mm²/m (secondary, citing NBS Circular 31); 11.49 and 6.90 ohm/km (computed).
    expect(RESISTIVITY_MM2).toBeCloseTo(0.017241, 6)
    expect(coreResistance(1.5).floor * 1000).toBeCloseTo(11.49, 2)
    expect(coreResistance(2.5).floor * 1000).toBeCloseTo(6.9, 2)
    expect(pairResistance(100, 1.5).floor).toBeLessThan(pairResistance(100, 1.5).greatest)
  })
})
