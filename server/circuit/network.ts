// A linear circuit solved by modified nodal analysis, at DC or at one frequency.
//
// Ho, Ruehli and Brennan, "The modified nodal approach to network analysis", IEEE Transactions on Circuits and Systems
// 22 (1975) 504–509 (value from memory): one equation a node, and one more for each branch whose current is asked for.

import { type ComplexSystem, eliminate, emptySystem } from './eliminate.ts'

export interface Complex {
  re: number
  im: number
}

/** Nodes are names; `EARTH` is the node all voltages are held against. */
export type Element =
  /** Resistance (ohm), inductance (H) and capacitance (F) in series; each left out is not there. */
  | { kind: 'branch'; name?: string; from: string; to: string; ohm?: number; henry?: number; farad?: number }
  /** A source of `volts` with its own resistance `ohm`, plus at `from`. */
  | { kind: 'source'; name?: string; from: string; to: string; volts: number; ohm: number }
  /** A current of `amperes` that leaves at `from` and comes back at `to`. */
  | { kind: 'current'; from: string; to: string; amperes: number }
  /** An ideal transformer: volts of the second pair = `ratio` × volts of the first. */
  | { kind: 'transformer'; first: [string, string]; second: [string, string]; ratio: number }
  /** Two inductances (H) that share the flux `mutual` (H). */
  | {
      kind: 'coupled'
      first: [string, string]
      second: [string, string]
      henry: [number, number]
      mutual: number
    }

export const EARTH = 'E1'

/** A way to earth so poor that no instrument shows it, so that a part connected to nothing has a voltage too (siemens). */
const HARDLY_ANY = 1e-13

export interface Solved {
  /** Volts from `a` to `b`. Throws RangeError for a node that is not there. */
  volts(a: string, b: string): Complex
  /** Amperes through a named element, from its `from` to its `to`; of a source, those it gives. */
  amperes(name: string): Complex
  has(node: string): boolean
}

/** Solves at `hertz`, 0 for DC. Throws RangeError where the circuit has no single solution. */
export function solve(elements: Element[], hertz = 0): Solved {
  const omega = 2 * Math.PI * hertz
  const nodes = nodesOf(elements)
  const extra = elements.reduce((sum, element) => sum + unknownsOf(element), 0)
  const system = emptySystem(nodes.size + extra)
  for (const at of nodes.values()) add(system, at, at, HARDLY_ANY, 0)
  let next = nodes.size
  for (const element of elements) {
    stamp(system, element, omega, node => nodes.get(node) ?? -1, next)
    next += unknownsOf(element)
  }
  const { re, im } = eliminate(system)
  const at = (node: string): Complex => {
    if (node === EARTH) return { re: 0, im: 0 }
    const index = nodes.get(node)
    if (index === undefined) throw new RangeError(`There is no node ${node}.`)
    return { re: re[index] ?? 0, im: im[index] ?? 0 }
  }
  const volts = (a: string, b: string) => minus(at(a), at(b))
  return {
    volts,
    amperes: name => through(named(elements, name), omega, volts),
    has: node => node === EARTH || nodes.has(node),
  }
}

/** Volts or amperes as a meter shows them. */
export function size({ re, im }: Complex): number {
  return Math.hypot(re, im)
}

function nodesOf(elements: Element[]): Map<string, number> {
  const nodes = new Map<string, number>()
  for (const element of elements) {
    for (const node of endsOf(element)) {
      if (node !== EARTH && !nodes.has(node)) nodes.set(node, nodes.size)
    }
  }
  return nodes
}

function endsOf(element: Element): string[] {
  return 'first' in element ? [...element.first, ...element.second] : [element.from, element.to]
}

function unknownsOf(element: Element): number {
  return element.kind === 'transformer' ? 1 : element.kind === 'coupled' ? 2 : 0
}

function named(elements: Element[], name: string): Element {
  const element = elements.find(one => 'name' in one && one.name === name)
  if (!element) throw new RangeError(`There is no element ${name}.`)
  return element
}

function through(element: Element, omega: number, volts: Solved['volts']): Complex {
  if (element.kind === 'branch') return times(volts(element.from, element.to), admittance(element, omega))
  if (element.kind !== 'source') throw new RangeError('The current of this element is not kept.')
  const across = volts(element.from, element.to)
  return { re: (element.volts - across.re) / element.ohm, im: -across.im / element.ohm }
}

type Branch = Extract<Element, { kind: 'branch' }>

/** Siemens. A capacitance lets no DC through; a branch of nothing conducts as 1 µohm does. */
function admittance({ ohm = 0, henry = 0, farad }: Branch, omega: number): Complex {
  if (farad !== undefined && omega === 0) return { re: 0, im: 0 }
  const reactance = omega * henry - (farad === undefined ? 0 : 1 / (omega * farad))
  const resistance = ohm === 0 && reactance === 0 ? 1e-6 : ohm
  const norm = resistance ** 2 + reactance ** 2
  return { re: resistance / norm, im: -reactance / norm }
}

type IndexOf = (node: string) => number

function stamp(system: ComplexSystem, element: Element, omega: number, index: IndexOf, next: number): void {
  switch (element.kind) {
    case 'branch':
      stampAdmittance(system, index(element.from), index(element.to), admittance(element, omega))
      break
    case 'source': {
      const [from, to] = [index(element.from), index(element.to)]
      stampAdmittance(system, from, to, { re: 1 / element.ohm, im: 0 })
      inject(system, from, to, element.volts / element.ohm)
      break
    }
    case 'current':
      inject(system, index(element.from), index(element.to), element.amperes)
      break
    case 'transformer':
      stampTransformer(system, element.first.map(index), element.second.map(index), element.ratio, next)
      break
    case 'coupled':
      stampCoupled(system, element, omega, index, next)
      break
  }
}

function stampAdmittance(system: ComplexSystem, from: number, to: number, { re, im }: Complex): void {
  add(system, from, from, re, im)
  add(system, to, to, re, im)
  add(system, from, to, -re, -im)
  add(system, to, from, -re, -im)
}

function inject(system: ComplexSystem, from: number, to: number, amperes: number): void {
  add(system, from, system.size, amperes, 0)
  add(system, to, system.size, -amperes, 0)
}

/** The unknown is the current into the second pair's first node. */
function stampTransformer(
  system: ComplexSystem,
  first: number[],
  second: number[],
  ratio: number,
  at: number,
) {
  const [a = -1, b = -1] = first
  const [c = -1, d = -1] = second
  for (const [node, share] of [
    [c, 1],
    [d, -1],
    [a, -ratio],
    [b, ratio],
  ] as const) {
    add(system, node, at, share, 0)
    add(system, at, node, share, 0)
  }
}

type Coupled = Extract<Element, { kind: 'coupled' }>

/** The unknowns are the currents of the two inductances. */
function stampCoupled(system: ComplexSystem, coupled: Coupled, omega: number, index: IndexOf, at: number) {
  const pairs = [coupled.first.map(index), coupled.second.map(index)]
  for (const [own, [from = -1, to = -1]] of pairs.entries()) {
    const row = at + own
    for (const [node, sign] of [
      [from, 1],
      [to, -1],
    ] as const) {
      add(system, node, row, sign, 0)
      add(system, row, node, sign, 0)
    }
    add(system, row, row, 0, -omega * (coupled.henry[own] ?? 0))
    add(system, row, at + 1 - own, 0, -omega * coupled.mutual)
  }
}

function add(system: ComplexSystem, row: number, column: number, re: number, im: number): void {
  if (row < 0 || column < 0) return
  const at = row * (system.size + 1) + column
  system.re[at] = (system.re[at] ?? 0) + re
  system.im[at] = (system.im[at] ?? 0) + im
}

function minus(a: Complex, b: Complex): Complex {
  return { re: a.re - b.re, im: a.im - b.im }
}

function times(a: Complex, b: Complex): Complex {
  return { re: a.re * b.re - a.im * b.im, im: a.re * b.im + a.im * b.re }
}
