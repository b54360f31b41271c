// What the history says about causes, as plain counts. The levels do not overlap: no fault is counted twice.

export type Counts = ReadonlyMap<string, number>

/** Keys are `equipment/cause`, or `outside` for faults whose cause is not in any tree. */
export interface CauseCounts {
  /** Faults of the same symptom on this kind of equipment, at other sites. */
  elsewhere: Counts
  /** Faults at this site, at its other positions. */
  site: Counts
  /** Faults at this position. */
  position: Counts
  /** Faults elsewhere while a unit now fitted here was fitted there, by unit: "transmitter module 1234". */
  units: { unit: string; counts: Counts }[]
  /** Of `elsewhere`, those under the same condition as now: "season" "autumn". */
  conditions: { name: string; value: string; counts: Counts }[]
}

export const outsideKey = 'outside'

export const noHistory: CauseCounts = {
  elsewhere: new Map(),
  site: new Map(),
  position: new Map(),
  units: [],
  conditions: [],
}

/** A closed fault, as far as counting needs it. */
export interface PastFault {
  id: string
  tree: string
  equipment: string
  siteId: string
  positionId: string
  /** `equipment/cause`, `outside`, or null when none was found; the last are not counted. */
  cause: string | null
  /** UTC, ISO 8601. */
  reportedAt: string
  /** Units fitted when it was reported: "transmitter module 1234". */
  units: string[]
  /** "weather" → "rain". The season is added from the date. */
  conditions: Record<string, string>
}

/** The fault in hand, as far as counting needs it; without an id, one that is not on record yet. */
export type Situation = Omit<PastFault, 'id' | 'cause'> & { id: string | null }

/**
 * Counts the past faults for one situation, leaving out the fault in hand itself. At other sites only the
 * same symptom counts; at this site, this position and with these units every symptom does, as a cause that
 * stays shows itself in several ways.
 */
export function countsFor(past: readonly PastFault[], here: Situation): CauseCounts {
  const now = new Map(Object.entries(conditionsOf(here)))
  const elsewhere = new Map<string, number>()
  const site = new Map<string, number>()
  const position = new Map<string, number>()
  const units = new Map(here.units.map(unit => [unit, new Map<string, number>()]))
  const conditions = new Map([...now.keys()].map(name => [name, new Map<string, number>()]))
  for (const fault of past) {
    if (fault.id === here.id || fault.cause === null || fault.equipment !== here.equipment) continue
    if (fault.positionId === here.positionId) {
      add(position, fault.cause)
      continue
    }
    const shared = fault.units.find(unit => units.has(unit))
    if (shared !== undefined) add(units.get(shared), fault.cause)
    else if (fault.siteId === here.siteId) add(site, fault.cause)
    else if (fault.tree === here.tree) {
      add(elsewhere, fault.cause)
      const then = conditionsOf(fault)
      for (const [name, value] of now) if (then[name] === value) add(conditions.get(name), fault.cause)
    }
  }
  return {
    elsewhere,
    site,
    position,
    units: [...units].map(([unit, counts]) => ({ unit, counts })),
    conditions: [...conditions].map(([name, counts]) => ({ name, value: now.get(name) ?? '', counts })),
  }
}

/** Meteorological season of the northern half of the earth, by the month in UTC. */
export function seasonOf(at: string): string {
  const month = Number(at.slice(5, 7))
  return ['winter', 'spring', 'summer', 'autumn'][Math.floor((month % 12) / 3)] ?? 'winter'
}

export function sumOf(counts: Counts): number {
  let sum = 0
  for (const count of counts.values()) sum += count
  return sum
}

function conditionsOf(fault: Pick<PastFault, 'reportedAt' | 'conditions'>): Record<string, string> {
  return { season: seasonOf(fault.reportedAt), ...fault.conditions }
}

function add(counts: Map<string, number> | undefined, cause: string) {
  counts?.set(cause, (counts.get(cause) ?? 0) + 1)
}
