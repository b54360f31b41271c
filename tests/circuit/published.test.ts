// The nodal model against circuits whose answers are published or follow from a law in one line.

import { describe, expect, it } from 'vitest'
import { type Element, size, solve } from '../../server/circuit/network.ts'

const ohms = (from: string, to: string, ohm: number, name?: string): Element => ({
  ...{ kind: 'branch', from, to, ohm, ...(name ? { name } : {}) },
})
/** As good as ideal: a millionth of an ohm. */
const volts = (from: string, to: string, value: number): Element => ({
  ...{ kind: 'source', name: 'source', from, to, volts: value, ohm: 1e-6 },
})
const one = (from: string, to: string): Element => ({ kind: 'current', from, to, amperes: 1 })

describe('resistances', () => {
  it('divides a voltage as its resistances do (Ohm’s law, computed)', () => {
    const divider = [volts('a', 'E1', 12), ohms('a', 'b', 1000), ohms('b', 'E1', 2000)]
    expect(solve(divider).volts('b', 'E1').re).toBeCloseTo(8, 5)
  })

  // Everything Physical Science, Grade 11, chapter 19, example 8 (read in a page that shows it): 4, 8 and 6 ohm ask for 12.
  it('balances a Wheatstone bridge of 4, 8, 6 and 12 ohm, and no other', () => {
    const bridge = (unknown: number) =>
      solve([
        ...[volts('a', 'E1', 10), ohms('a', 'b', 4), ohms('b', 'E1', 8)],
        ...[ohms('a', 'd', 6), ohms('d', 'E1', unknown)],
      ]).volts('b', 'd').re
    expect(bridge(12)).toBeCloseTo(0, 6)
    expect(Math.abs(bridge(11))).toBeGreaterThan(0.1)
  })

  // The cube of twelve equal resistances: 5/6 R corner to corner (a standing exercise of textbooks, value from memory).
  it('finds 5/6 ohm across a cube of 1 ohm edges', () => {
    const corners = ['000', '001', '010', '011', '100', '101', '110', '111']
    const edges = corners.flatMap(from =>
      [0, 1, 2].flatMap(bit =>
        from[bit] === '0' ? [ohms(from, `${from.slice(0, bit)}1${from.slice(bit + 1)}`, 1)] : [],
      ),
    )
    const across = solve([...edges, one('000', '111')]).volts('000', '111').re
    expect(edges).toHaveLength(12)
    expect(across).toBeCloseTo(5 / 6, 9)
  })

  // A long ladder of 1 ohm in series and 1 ohm across: the golden ratio, 1.618 034 (value from memory).
  it('finds the golden ratio looking into a long ladder', () => {
    const ladder = Array.from({ length: 30 }, (_, k) => [
      ohms(`n${k}`, `n${k + 1}`, 1),
      ohms(`n${k + 1}`, 'E1', 1),
    ])
    expect(solve([...ladder.flat(), one('n0', 'E1')]).volts('n0', 'E1').re).toBeCloseTo(
      (1 + Math.sqrt(5)) / 2,
      9,
    )
  })
})

describe('reactances', () => {
  const series: Element = {
    kind: 'branch',
    name: 'rlc',
    from: 'a',
    to: 'E1',
    ohm: 40,
    henry: 3e-3,
    farad: 5e-6,
  }

  // OpenStax, College Physics, 23.12: 40.0 ohm, 3.00 mH and 5.00 µF in series. The 531 ohm at 60.0 Hz was read in a page
  // that works it out (530.89); 190 ohm at 10.0 kHz, 1.30 kHz and 3.00 A at resonance from 120 V are values from memory.
  it.each([
    [60, 530.89, 0.005],
    [10_000, 190, 0.5],
  ])('has the published impedance at %d Hz', (hertz, ohm, within) => {
    const across = size(solve([series, one('a', 'E1')], hertz).volts('a', 'E1'))
    expect(Math.abs(across - ohm)).toBeLessThan(within)
  })

  it('takes 3.00 A from 120 V at its resonance of 1.30 kHz', () => {
    const resonance = 1 / (2 * Math.PI * Math.sqrt(3e-3 * 5e-6))
    expect(resonance / 1000).toBeCloseTo(1.3, 2)
    expect(size(solve([volts('a', 'E1', 120), series], resonance).amperes('rlc'))).toBeCloseTo(3, 3)
  })

  it('lets no DC through a capacitance, and all of it through an inductance', () => {
    const dc = solve([
      volts('a', 'E1', 10),
      ohms('a', 'b', 5),
      { kind: 'branch', from: 'b', to: 'E1', farad: 1e-6 },
    ])
    expect(dc.volts('b', 'E1').re).toBeCloseTo(10, 4)
    const coil = solve([
      volts('a', 'E1', 10),
      ohms('a', 'b', 5, 'r'),
      { kind: 'branch', from: 'b', to: 'E1', henry: 1 },
    ])
    expect(coil.amperes('r').re).toBeCloseTo(2, 4)
  })

  // Practice problem of coupled coils in a textbook of circuits, read in a forum’s discussion of it: 10 V, 1 ohm and j6 ohm
  // in the first mesh, j4, 4 − j3 ohm in the second, j2 between them: 0.5246 − j1.5580 A and −0.7949 − j0.0636 A.
  it('shares the flux of two coupled coils as the published meshes do', () => {
    const omega = 1
    const solved = solve(
      [
        ...[volts('s', 'E1', 10), ohms('s', 'a', 1, 'first')],
        { kind: 'coupled', first: ['a', 'E1'], second: ['b', 'E1'], henry: [6, 4], mutual: 2 },
        { kind: 'branch', name: 'load', from: 'E1', to: 'b', ohm: 4, farad: 1 / 3 },
      ],
      omega / (2 * Math.PI),
    )
    const [first, second] = [solved.amperes('first'), solved.amperes('load')]
    expect(first.re).toBeCloseTo(0.5246423, 5)
    expect(first.im).toBeCloseTo(-1.5580286, 5)
    expect(second.re).toBeCloseTo(-0.7949126, 5)
    expect(second.im).toBeCloseTo(-0.063593, 5)
  })

  it('hands on volts by the ratio of a transformer, and ohms by its square (computed)', () => {
    const solved = solve([
      ...[volts('a', 'b', 110), ohms('a', 'b', 1e6), ohms('b', 'E1', 1)],
      { kind: 'transformer', first: ['a', 'b'], second: ['c', 'E1'], ratio: 0.5 },
      ohms('c', 'E1', 11),
    ])
    expect(solved.volts('c', 'E1').re).toBeCloseTo(55, 3)
    expect(solved.amperes('source').re).toBeCloseTo(110 / 44, 3)
  })
})

describe('a line as a ladder of short sections', () => {
  /** Ohm, H, S and F of each metre. */
  function ladder(
    metres: number,
    sections: number,
    ohm: number,
    henry: number,
    siemens: number,
    farad: number,
  ) {
    const length = metres / sections
    return Array.from({ length: sections }, (_, k): Element[] => [
      { kind: 'branch', from: `n${k}`, to: `m${k}`, ohm: (ohm * length) / 2, henry: (henry * length) / 2 },
      { kind: 'branch', from: `m${k}`, to: 'E1', farad: farad * length },
      ...(siemens > 0 ? [ohms(`m${k}`, 'E1', 1 / (siemens * length))] : []),
      {
        kind: 'branch',
        from: `m${k}`,
        to: `n${k + 1}`,
        ohm: (ohm * length) / 2,
        henry: (henry * length) / 2,
      },
    ]).flat()
  }

  // Sadiku, Elements of Electromagnetics, example 11.3 (value from memory): 2 m, α 8 dB/m, β 1 rad/m, Z₀ 60 + j40 ohm,
  // ω 10⁶ rad/s, load 20 + j50 ohm: looking in, 60.25 + j38.79 ohm.
  it('has the published impedance looking into a lossy line', () => {
    const [a, b] = [8 / (20 * Math.log10(Math.E)), 1]
    const [series, shunt] = [
      { re: a * 60 - b * 40, im: a * 40 + b * 60 },
      { re: (a * 60 + b * 40) / 5200, im: (b * 60 - a * 40) / 5200 },
    ]
    const omega = 1e6
    const line = ladder(2, 60, series.re, series.im / omega, shunt.re, shunt.im / omega)
    const load: Element = { kind: 'branch', from: 'n60', to: 'E1', ohm: 20, henry: 50 / omega }
    const into = solve([...line, load, one('n0', 'E1')], omega / (2 * Math.PI)).volts('n0', 'E1')
    expect(into.re).toBeCloseTo(60.25, 1)
    expect(into.im).toBeCloseTo(38.79, 1)
  })

  it('turns a short into an open in a quarter of a wavelength (law of the lossless line, computed)', () => {
    const [henry, farad] = [0.6e-6, 50e-12]
    const hertz = 65_000
    const quarter = 1 / (4 * hertz * Math.sqrt(henry * farad))
    const into = (metres: number) =>
      size(
        solve(
          [...ladder(metres, 60, 1e-6, henry, 0, farad), ohms('n60', 'E1', 1e-6), one('n0', 'E1')],
          hertz,
        ).volts('n0', 'E1'),
      )
    const characteristic = Math.sqrt(henry / farad)
    expect(into(quarter / 2)).toBeCloseTo(characteristic, 0)
    expect(into(quarter)).toBeGreaterThan(50 * characteristic)
  })
})
