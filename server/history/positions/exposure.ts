import type { Window } from '../basis.ts'

export const dayMs = 86_400_000

export interface Service {
  inServiceMs: number
  /** null: still in service. */
  outOfServiceMs: number | null
  /** Times it was switched out, in any order; they may overlap. */
  outages?: Window[]
}

/** Days in service inside the window: from commissioning to recovery, less the time it was switched out. */
export function serviceDays(service: Service, window: Window): number {
  const from = Math.max(window.fromMs, service.inServiceMs)
  const to = Math.min(window.toMs, service.outOfServiceMs ?? Infinity)
  if (to <= from) return 0
  return (to - from - outageMs(service.outages ?? [], from, to)) / dayMs
}

/** Length of the union of the outages between two moments. */
function outageMs(outages: Window[], from: number, to: number): number {
  let total = 0
  let reached = from
  for (const outage of outages.toSorted((a, b) => a.fromMs - b.fromMs)) {
    const start = Math.max(outage.fromMs, reached)
    const end = Math.min(outage.toMs, to)
    if (end <= start) continue
    total += end - start
    reached = end
  }
  return total
}
