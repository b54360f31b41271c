// Positions that share a supply, a case or a cable and fail together.

import { poissonAtLeast } from './distributions/poisson.ts'
import { type Explained, term } from './explained.ts'
import { standOut } from './false-discovery.ts'
import { groupBy } from './group-by.ts'
import { chanceWords, countWords, numberWords } from './plain-words.ts'

export interface Shared {
  /** "supply of Mill Lane". */
  name: string
  positionIds: readonly string[]
}

export interface Together {
  shared: Shared
  /** Faults at two positions or more within the window, each group of them once. */
  clusters: { fromMs: number; faultIds: string[] }[]
  /** Pairs of faults at different positions that luck would bring within the window. */
  expected: number
  faults: number
  chance: number
}

interface FaultAt {
  id: string
  positionId: string
  atMs: number
}

/**
 * What each shared thing brought together. The chance of as many clusters by luck is at most the Poisson chance of as
 * many pairs, the faults of each position falling anywhere in the window's length. O(n log n).
 */
export function failingTogether(
  faults: Iterable<FaultAt>,
  all: readonly Shared[],
  watchedMs: number,
  withinMs = 86_400_000,
): Together[] {
  const faultsAt = groupBy(faults, fault => fault.positionId)
  return all.map(shared => {
    const own = shared.positionIds.flatMap(id => faultsAt.get(id) ?? []).sort((a, b) => a.atMs - b.atMs)
    const clusters = clustersOf(own, withinMs)
    const expected = expectedPairs(
      shared.positionIds.map(id => faultsAt.get(id)?.length ?? 0),
      withinMs / watchedMs,
    )
    return {
      shared,
      clusters,
      expected,
      faults: own.length,
      chance: poissonAtLeast(clusters.length, expected),
    }
  })
}

/** Those that stand out among all that were looked at, at false-discovery rate q. */
export function findCommonCauses(
  together: readonly Together[],
  q = 0.05,
): { row: Together; adjusted: number }[] {
  const several = together.filter(t => t.shared.positionIds.length > 1 && t.faults > 1)
  return standOut(several, t => t.chance, q)
}

export function explainTogether(together: Together): Explained<number> {
  const { clusters, expected, chance, shared } = together
  const seen = clusters.length === 1 ? 'once' : countWords(clusters.length, 'time')
  return {
    value: clusters.length,
    words: `Positions on ${shared.name} failed together ${seen}; ${numberWords(expected)} would be usual; ${chanceWords(chance)}`,
    terms: [
      term('together', clusters.length, 'faults at two positions or more within the window'),
      term('expected', expected, 'pairs that luck would bring so close'),
      term('positions', shared.positionIds.length, 'positions that share it'),
      term('faults', together.faults, 'their faults, n'),
    ],
  }
}

function clustersOf(faults: readonly FaultAt[], withinMs: number): Together['clusters'] {
  const clusters: Together['clusters'] = []
  for (let i = 0; i < faults.length; ) {
    const first = faults[i]?.atMs ?? 0
    let end = i + 1
    while (end < faults.length && (faults[end]?.atMs ?? Infinity) - first <= withinMs) end++
    const group = faults.slice(i, end)
    if (new Set(group.map(f => f.positionId)).size > 1)
      clusters.push({ fromMs: first, faultIds: group.map(f => f.id) })
    i = end
  }
  return clusters
}

/** Two moments anywhere in a stretch lie within a share w of it with chance 2w − w². */
function expectedPairs(counts: readonly number[], w: number): number {
  const total = counts.reduce((a, b) => a + b, 0)
  const squares = counts.reduce((a, b) => a + b * b, 0)
  const share = Math.min(1, w)
  return ((total * total - squares) / 2) * (2 * share - share * share)
}
