// What happened after each unit was taken out for a fault: did
// the fault go with the unit, or stay at the position?

import { groupBy } from '../group-by.ts'
import { dayMs } from '../positions/exposure.ts'

export interface Stay {
  unitId: string
  /** Kind of unit. */
  kind: string
  positionId: string
  /** Equipment kind of the position: units live harder in some than in others. */
  place: string
  fittedMs: number
  /** null: still fitted. */
  removedMs: number | null
  /** Symptom family it was taken out for; null when it was taken out for another reason, or not at all. */
  removedFor: string | null
  /** Days of the stay of which faults are known; without it all of them. */
  knownDays?: number
  workshop: 'tested good' | 'repaired' | 'not known' | null
}

export interface Swap {
  stay: Stay
  removedMs: number
  symptom: string
  /** Did the unit show the same symptom at its next position? */
  unitAfter: After
  /** Did the position show the same symptom with its next unit? */
  positionAfter: After
}

/**
 * `not seen`: watched for the whole window. `too early`: not
 * yet. `no more`: never fitted again, or nothing fitted since.
 */
export type After = 'same again' | 'not seen' | 'too early' | 'no more'

/**
 * Every removal for a fault with what followed at the next stay of the unit and of the position. O(n log n).
 */
export function followSwaps(stays: readonly Stay[], asAtMs: number, windowDays = 180): Swap[] {
  const ofUnit = nextStays(stays, stay => stay.unitId)
  const ofPosition = nextStays(stays, stay => `${stay.positionId}\u0000${stay.kind}`)
  const windowMs = windowDays * dayMs
  return stays.flatMap(stay => {
    if (stay.removedMs === null || stay.removedFor === null) return []
    const after = (next: Stay | undefined) => whatFollowed(next, stay.removedFor ?? '', asAtMs, windowMs)
    const elsewhere = ofUnit.get(stay)
    return [
      {
        stay,
        removedMs: stay.removedMs,
        symptom: stay.removedFor,
        unitAfter: elsewhere?.positionId === stay.positionId ? ('no more' as const) : after(elsewhere),
        positionAfter: after(ofPosition.get(stay)),
      },
    ]
  })
}

function nextStays(stays: readonly Stay[], keyOf: (stay: Stay) => string): Map<Stay, Stay> {
  const next = new Map<Stay, Stay>()
  for (const group of groupBy(stays, keyOf).values()) {
    group.sort((a, b) => a.fittedMs - b.fittedMs)
    group.forEach((stay, i) => {
      const following = group[i + 1]
      if (following !== undefined && following.unitId !== undefined) next.set(stay, following)
    })
  }
  return next
}

function whatFollowed(next: Stay | undefined, symptom: string, asAtMs: number, windowMs: number): After {
  if (next === undefined) return 'no more'
  const end = next.removedMs ?? asAtMs
  if (next.removedMs !== null && next.removedFor === symptom && end - next.fittedMs <= windowMs)
    return 'same again'
  if (end - next.fittedMs >= windowMs) return 'not seen'
  return next.removedMs === null ? 'too early' : 'no more'
}
