// Positions that share a supply, a case or a cable and fail together.

import { poissonAtLeast } from '../../statistics/poisson.ts'
import { adjustedChanceWords, chanceWords, countWords, numberWords } from '../../words.ts'
import { type Explained, term } from '../explained.ts'
import { standOut } from '../false-discovery.ts'
import { groupBy } from '../group-by.ts'

export interface Shared {
  /** "the supply of one case". */
  name: string
  positionIds: readonly string[]
}

export interface Together {
  shared: Shared
  /** Faults close together at two positions or more. `links`: a fault soon after one at another position. */
  clusters: { fromMs: number; faultIds: string[]; links: number }[]
  links: number
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
 * What each shared thing brought together. Faults that fall anywhere leave independent gaps, so the chance of
 * as many links by luck is at most the Poisson chance of as many close pairs. O(n log n).
 */
export function failingTogether(
  faults: Iterable<FaultAt>,
  all: readonly Shared[],
  watchedMs: number,
  withinMs = 86_400_000,
): Together[] {
  const faultsAt = groupBy(faults, fault => fault.positionId)
  return all.map(shared => {
    const faults = shared.positionIds.flatMap(id => faultsAt.get(id) ?? []).sort((a, b) => a.atMs - b.atMs)
    const clusters = clustersOf(faults, withinMs)
    const expected = expectedPairs(
      shared.positionIds.map(id => faultsAt.get(id)?.length ?? 0),
      withinMs / watchedMs,
    )
    const links = clusters.reduce((total, cluster) => total + cluster.links, 0)
    return {
      shared,
      clusters,
      links,
      expected,
      faults: faults.length,
      chance: poissonAtLeast(links, expected),
    }
  })
}

/** Those that stand out among all that were looked at, at false-discovery rate q. */
export function findCommonCauses(
  together: readonly Together[],
  q = 0.05,
): { row: Together; adjusted: number; looked: number }[] {
  const several = together.filter(t => t.shared.positionIds.length > 1 && t.faults > 1)
  return standOut(several, t => t.chance, q).map(one => ({ ...one, looked: several.length }))
}

/** In words; the chance is the one adjusted for how many were looked at. */
export function explainTogether(
  together: Together,
  { adjusted, looked }: { adjusted: number; looked: number },
): Explained<number> {
  const { clusters, expected, chance, shared } = together
  const seen = clusters.length === 1 ? 'once' : countWords(clusters.length, 'time')
  return {
    value: clusters.length,
    words: `Positions on ${shared.name} failed together ${seen}, ${countWords(together.links, 'fault')} soon after another; ${numberWords(expected)} would be usual; ${adjustedChanceWords(adjusted, looked)}`,
    terms: [
      term('together', clusters.length, 'times that faults came close together at two positions or more'),
      term('links', together.links, 'faults soon after one at another position'),
      term('expected', expected, 'pairs that luck would bring so close'),
      term('chance', chance, `${chanceWords(chance)}, if these alone were looked at`),
      term('adjusted', adjusted, 'the same, adjusted for how many were looked at (Benjamini–Hochberg)'),
      term('positions', shared.positionIds.length, 'positions that share it'),
      term('faults', together.faults, 'their faults, n'),
    ],
  }
}

/** Runs of faults each within the window of the one before, at two positions or more. */
function clustersOf(faults: readonly FaultAt[], withinMs: number): Together['clusters'] {
  const runs: FaultAt[][] = []
  for (const fault of faults) {
    const run = runs.at(-1)
    const previous = run?.at(-1)
    if (run !== undefined && previous !== undefined && fault.atMs - previous.atMs <= withinMs) run.push(fault)
    else runs.push([fault])
  }
  const several = runs.filter(run => new Set(run.map(f => f.positionId)).size > 1)
  return several.map(run => ({
    fromMs: run[0]?.atMs ?? 0,
    faultIds: run.map(f => f.id),
    links: linksOf(run),
  }))
}

function linksOf(run: readonly FaultAt[]): number {
  return run.filter((fault, i) => i > 0 && run[i - 1]?.positionId !== fault.positionId).length
}

/** Two moments anywhere in a stretch lie within a share w of it with chance 2w − w². */
function expectedPairs(counts: readonly number[], w: number): number {
  const total = counts.reduce((a, b) => a + b, 0)
  const squares = counts.reduce((a, b) => a + b * b, 0)
  const share = Math.min(1, w)
  return ((total * total - squares) / 2) * (2 * share - share * share)
}
