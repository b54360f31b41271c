// Where the time to restore goes: response, access, diagnosis, repair, test, hand-back.

const phases = ['response', 'access', 'diagnosis', 'repair', 'test', 'hand-back'] as const
export type Phase = (typeof phases)[number]

/**
 * Seven moments of one fault, in ms; null where one was not recorded. Each phase lies between two neighbours.
 */
export interface Moments {
  reported: number | null
  onSite: number | null
  accessGiven: number | null
  causeFound: number | null
  repaired: number | null
  tested: number | null
  handedBack: number | null
  /** It came from a file that did not say when it was put right. */
  endUnsaid?: boolean
}

export interface PhaseTime {
  phase: Phase | 'all'
  /** Minutes; null without any fault that has both moments. */
  median: number | null
  ninetieth: number | null
  n: number
  /** Faults where one of the two moments is missing. */
  missing: number
  /**
   * Faults from a file that did not say when they were put
   * right, where that is the later moment; not in `missing`.
   */
  endUnsaid: number
  /** Faults where they are the wrong way round, left out. */
  impossible: number
}

const endsWithClosure = new Set<Phase | 'all'>(['hand-back', 'all'])

/**
 * Median and 90th percentile of each phase and of the whole, each over the faults that have it. O(n log n).
 */
export function timeSplit(faults: Iterable<Moments>): PhaseTime[] {
  const tallies = [...phases, 'all' as const].map(phase => ({
    phase,
    minutes: [] as number[],
    missing: 0,
    endUnsaid: 0,
    impossible: 0,
  }))
  for (const fault of faults) {
    const moments = [
      fault.reported,
      fault.onSite,
      fault.accessGiven,
      fault.causeFound,
      fault.repaired,
      fault.tested,
      fault.handedBack,
    ]
    tallies.forEach((tally, i) => {
      const [from, to] = tally.phase === 'all' ? [moments[0], moments[6]] : [moments[i], moments[i + 1]]
      if (to == null && fault.endUnsaid && endsWithClosure.has(tally.phase)) tally.endUnsaid++
      else if (from == null || to == null) tally.missing++
      else if (to < from) tally.impossible++
      else tally.minutes.push((to - from) / 60_000)
    })
  }
  return tallies.map(({ minutes, ...counted }) => {
    const sorted = Float64Array.from(minutes).sort()
    return {
      ...counted,
      median: quantile(sorted, 0.5),
      ninetieth: quantile(sorted, 0.9),
      n: sorted.length,
    }
  })
}

/** Of ascending values, between two ranks in proportion; null of none. */
export function quantile(sorted: ArrayLike<number>, p: number): number | null {
  if (sorted.length === 0) return null
  const rank = p * (sorted.length - 1)
  const below = Math.floor(rank)
  const low = sorted[below] ?? 0
  return low + (rank - below) * ((sorted[Math.min(below + 1, sorted.length - 1)] ?? low) - low)
}
