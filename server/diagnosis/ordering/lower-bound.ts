// Lower bound on the minutes from a state of the exact search, for cutting branches.

import type { Small } from './small.ts'

export interface Bounds {
  small: Small
  /** The hypotheses of the same group as each, itself left out. */
  twins: number[]
  /** Whether any group has more than one hypothesis. */
  anyTwins: boolean
  /** The hypotheses that are causes. */
  causes: number
  pairs: Map<number, number>
}

export function boundsOf(small: Small): Bounds {
  const twins = small.groups.map((group, bit) =>
    small.groups.reduce((mask, other, at) => (at !== bit && other === group ? mask | (1 << at) : mask), 0),
  )
  const causes = small.groups.reduce((mask, group, bit) => (group === -1 ? mask : mask | (1 << bit)), 0)
  return {
    small,
    twins,
    causes,
    anyTwins: twins.some((mask, bit) => (mask & causes) !== 0 && small.groups[bit] !== -1),
    pairs: new Map(),
  }
}

/** Lower bound on the weighted minutes from a set of hypotheses `left` with the checks `done`. */
export function atLeast(bounds: Bounds, left: number, done: number): number {
  return Math.max(byProofs(bounds, left, done), byPairs(bounds, left))
}

/** Minutes of the access a check needs, when nothing done has opened it. */
export function opening(small: Small, check: number, done: number): number {
  return (small.openedBy[check] ?? 0) & done ? 0 : (small.opening[check] ?? 0)
}

export function weightOf(weights: number[], set: number): number {
  let sum = 0
  for (let rest = set; rest !== 0; rest &= rest - 1) sum += weights[bitOf(rest)] ?? 0
  return sum
}

/**
 * Lower bound on the cost of proofs: each cause costs at least its cheapest one. A way whose twin is left too
 * may be proven by the twin's check, so it is not counted.
 */
function byProofs(bounds: Bounds, left: number, done: number): number {
  const { small, twins, causes } = bounds
  let sum = 0
  for (let rest = left & causes; rest !== 0; rest &= rest - 1) {
    const bit = bitOf(rest)
    const proofs = small.proofs[bit] ?? 0
    if (proofs === 0 || (proofs & done) !== 0 || ((twins[bit] ?? 0) & left) !== 0) continue
    let least = Number.POSITIVE_INFINITY
    for (let checks = proofs; checks !== 0; checks &= checks - 1) {
      const check = bitOf(checks)
      least = Math.min(least, (small.minutes[check] ?? 0) + opening(small, check, done))
    }
    sum += (small.weights[bit] ?? 0) * least
  }
  return sum
}

/**
 * Lower bound on the cost of separating each pair of causes. A check done while the weight W
 * is left costs W times its minutes and separates pairs of the total weight P (the sum of
 * products across its rows). W / P only grows as less is left, so each pair costs at least
 * its product times minutes × W / P, taken now, of the cheapest check that separates it. For
 * checks that each find one cause alone this is the ratio rule's own total (Smith 1956).
 */
function byPairs(bounds: Bounds, all: number): number {
  const left = all & bounds.causes
  const cached = bounds.pairs.get(left)
  if (cached !== undefined) return cached
  let sum = 0
  // Only blocks of two or more still hold a pair.
  let blocks = isSingle(left) ? [] : [left]
  for (const { check, rate } of blocks.length > 0 ? rates(bounds.small, left) : []) {
    const parts = bounds.small.parts[check] ?? []
    const finer: number[] = []
    for (const block of blocks) {
      const pieces = piecesOf(parts, block)
      if (pieces.length > 1) sum += rate * pairWeight(bounds, pieces)
      for (const piece of pieces) if (!isSingle(piece)) finer.push(piece)
    }
    blocks = finer
    if (blocks.length === 0) break
  }
  bounds.pairs.set(left, sum)
  return sum
}

function isSingle(mask: number): boolean {
  return (mask & (mask - 1)) === 0
}

function piecesOf(parts: number[], block: number): number[] {
  const pieces: number[] = []
  for (const part of parts) if (part & block) pieces.push(part & block)
  return pieces
}

/** The checks that separate hypotheses left, by their cost for each unit of pairs, cheapest first. */
function rates(small: Small, left: number): { check: number; rate: number }[] {
  const weight = weightOf(small.weights, left)
  const list: { check: number; rate: number }[] = []
  for (let check = 0; check < small.minutes.length; check++) {
    const parts = small.parts[check] ?? []
    if (parts.some(part => (part & left) === left)) continue
    let squares = 0
    for (const part of parts) if (part & left) squares += weightOf(small.weights, part & left) ** 2
    const pairs = (weight * weight - squares) / 2
    if (pairs > 1e-12 * weight * weight)
      list.push({ check, rate: ((small.minutes[check] ?? 0) * weight) / pairs })
  }
  return list.sort((a, b) => a.rate - b.rate)
}

/** Sum of the products across the pieces, leaving out pairs of the same group, which need no separating. */
function pairWeight(bounds: Bounds, pieces: number[]): number {
  const { small, twins, anyTwins } = bounds
  const whole = pieces.reduce((mask, piece) => mask | piece, 0)
  let sum = weightOf(small.weights, whole) ** 2
  for (const piece of pieces) sum -= weightOf(small.weights, piece) ** 2
  if (!anyTwins) return sum / 2
  for (const piece of pieces) {
    for (let rest = piece; rest !== 0; rest &= rest - 1) {
      const bit = bitOf(rest)
      sum -= (small.weights[bit] ?? 0) * weightOf(small.weights, (twins[bit] ?? 0) & whole & ~piece)
    }
  }
  return Math.max(0, sum / 2)
}

/** The lowest bit that is set. */
export function bitOf(mask: number): number {
  return 31 - Math.clz32(mask & -mask)
}
