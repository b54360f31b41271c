// Closed faults as the ranking counts them. Those of a site are cached until a fault is closed; the totals of a tree,
// which take a look at every fault of it, stay cached, and each fault closed since is added to them.

import {
  type CauseCounts,
  type Counts,
  countsFor,
  type PastFault,
  type Situation,
} from '../../diagnosis/ranking/cause-counts.ts'
import { inForce } from '../engine/in-force.ts'
import { createRowCache } from '../engine/row-cache.ts'
import { type Connection, scalar, sql } from '../engine/sql.ts'
import type { TrailRecorder } from '../engine/trail-recorder.ts'
import type { Writer } from '../engine/writer.ts'

export interface PastFaults {
  /** All closed faults, oldest first; with `equipment`, of that kind. */
  list(equipment?: string): PastFault[]
  /** The last so many closed faults, oldest first. */
  latest(most: number): PastFault[]
  /** As `countsFor(list(), here)`, without reading all of them. */
  countsFor(here: Situation): CauseCounts
  /** The situation of a fault on record. 'not found' comes from faults.get, so here it is null. */
  situationOf(faultId: string): Situation | null
}

interface Row {
  id: string
  tree: string
  equipment: string
  siteId: string
  positionId: string
  cause: string | null
  reportedAt: string
  units: string
  conditions: string
}

const SELECT = `
  SELECT f.id, f.tree, p.equipment, p.site_id AS siteId, f.position_id AS positionId, f.reported_at AS reportedAt,
  CASE WHEN c.outcome IN ('proven cause', 'probable cause') THEN c.cause END AS cause,
  (SELECT json_group_array(u.kind || ' ' || u.serial) FROM fittings t JOIN units u ON u.id = t.unit_id
    WHERE t.position_id = f.position_id AND t.fitted_at <= f.reported_at
      AND (t.removed_at IS NULL OR t.removed_at > f.reported_at)) AS units,
  (SELECT json_group_object(d.name, d.value) FROM conditions d WHERE d.fault_id = f.id) AS conditions
  FROM faults f JOIN positions p ON p.id = f.position_id`
const isInForce = inForce('faults', 'f.id')

/** The tables that a past fault is read from. */
const tablesOfAFault = new Set(['closures', 'conditions', 'faults', 'fittings', 'positions', 'units'])

const all = sql<object, Row>(`${SELECT} JOIN closures c ON c.fault_id = f.id
  WHERE (@equipment IS NULL OR p.equipment = @equipment) AND ${isInForce} ORDER BY f.reported_at, f.id`)
const latest = sql<[number], Row>(
  `${SELECT} JOIN closures c ON c.fault_id = f.id WHERE ${isInForce} ORDER BY f.reported_at DESC, f.id DESC LIMIT ?`,
)
const one = sql<[string], Row>(
  `${SELECT} LEFT JOIN closures c ON c.fault_id = f.id WHERE f.id = ? AND ${isInForce}`,
)
const atSite = sql<[string], Row>(
  `${SELECT} JOIN closures c ON c.fault_id = f.id WHERE p.site_id = ? AND ${isInForce}`,
)
// CROSS JOIN: from the few units, in this order, however many faults there are.
const withUnit = sql<object, Row>(`${SELECT} JOIN closures c ON c.fault_id = f.id
  WHERE f.id IN (
    SELECT g.id FROM json_each(@units) n CROSS JOIN units u ON u.kind || ' ' || u.serial = n.value
      CROSS JOIN fittings t ON t.unit_id = u.id CROSS JOIN faults g ON g.position_id = t.position_id
    WHERE g.reported_at >= t.fitted_at AND (t.removed_at IS NULL OR g.reported_at < t.removed_at))
    AND p.site_id <> @siteId AND ${isInForce}`)
const ofTree = sql<object, Row>(`${SELECT} JOIN closures c ON c.fault_id = f.id
  WHERE f.tree = @tree AND p.equipment = @equipment AND ${isInForce}`)
const head = scalar<[], number>('SELECT seq FROM trail ORDER BY seq DESC LIMIT 1')
const closedSince = scalar<[number], string>(`
  SELECT c.fault_id FROM trail e JOIN closures c ON c.id = e.key
  WHERE e.seq > ? AND +e.subject = 'closures' AND e.what = 'added'`)

export function createPastFaults({ db, trail }: Writer): PastFaults {
  const nearby = createNearby(db, trail)
  const totalsOf = createTotals(db, trail)

  return {
    list: equipment =>
      all(db)
        .all({ equipment: equipment ?? null })
        .map(pastFault),
    latest: most => latest(db).all(most).reverse().map(pastFault),
    situationOf(faultId) {
      const row = one(db).get(faultId)
      return row ? pastFault(row) : null
    },
    countsFor(here) {
      const near = nearby(here)
      const counts = countsFor(near, here)
      const nearOfTree = near.filter(fault => fault.tree === here.tree && fault.equipment === here.equipment)
      const itself = here.id ? one(db).get(here.id) : undefined
      const notNear = itself && !nearOfTree.some(fault => fault.id === itself.id) ? [pastFault(itself)] : []
      return withTotals(counts, totalsOf(here.tree, here.equipment), [...nearOfTree, ...notNear])
    },
  }
}

/** Closed faults at the site, and those that any of the units had elsewhere. Asked for anew after every finding. */
function createNearby(db: Connection, trail: TrailRecorder): (here: Situation) => PastFault[] {
  // Frozen as lists only: only the counting sees their faults.
  const cached = (read: (key: string) => Row[]) =>
    createRowCache<readonly PastFault[]>(db, trail, {
      maxEntries: 200,
      read: key => Object.freeze(read(key).map(pastFault)),
      invalidates: ({ table }) => (tablesOfAFault.has(table) ? 'all' : null),
    })
  const bySite = cached(siteId => atSite(db).all(siteId))
  const byUnits = cached(key => withUnit(db).all(JSON.parse(key)))
  return ({ siteId, units }) => [
    ...bySite.get(siteId),
    ...byUnits.get(JSON.stringify({ units: JSON.stringify(units), siteId })),
  ]
}

/** Totals of a tree: counted from all its faults once; each closure since is added. A closure never changes. */
function createTotals(db: Connection, trail: TrailRecorder): (tree: string, equipment: string) => Totals {
  const totals = new Map<string, Totals>()
  let upTo = 0
  trail.onChange(touched => touched === null && totals.clear())

  function addNewClosures(): void {
    const newest = head(db).get() ?? 0
    if (newest !== upTo && totals.size > 0) {
      for (const id of closedSince(db).all(upTo)) {
        const row = one(db).get(id)
        const ofTree = row && totals.get(`${row.tree} ${row.equipment}`)
        if (ofTree) addTo(ofTree, pastFault(row), 1)
      }
    }
    upTo = newest
  }

  return db.transaction((tree: string, equipment: string): Totals => {
    const count = () => totalUp(ofTree(db).iterate({ tree, equipment }))
    // What is being written has no entry in the trail yet.
    if (trail.pending() > 0) return count()
    addNewClosures()
    const key = `${tree} ${equipment}`
    const counted = totals.get(key) ?? count()
    totals.set(key, counted)
    return counted
  })
}

/** Counts of a tree everywhere: by cause, and by cause under each condition. */
interface Totals {
  causes: Map<string, number>
  conditions: Map<string, Map<string, number>>
}

function totalUp(rows: Iterable<Row>): Totals {
  const totals: Totals = { causes: new Map(), conditions: new Map() }
  for (const row of rows) addTo(totals, pastFault(row), 1)
  return totals
}

function addTo({ causes, conditions }: Totals, fault: PastFault, weight: number): void {
  if (fault.cause === null) return
  bump(causes, fault.cause, weight)
  // Every condition it was under, the season included, as the ranking itself takes them.
  for (const { name, value } of countsFor([], { ...fault, id: null }).conditions) {
    const key = conditionKey(name, value)
    const counts = conditions.get(key) ?? new Map<string, number>()
    bump(counts, fault.cause, weight)
    conditions.set(key, counts)
  }
}

/** What is near was counted by name, so it is taken out of the totals, which then are what lies elsewhere. */
function withTotals(near: CauseCounts, totals: Totals, nearOfTree: PastFault[]): CauseCounts {
  const taken: Totals = { causes: new Map(), conditions: new Map() }
  for (const fault of nearOfTree) addTo(taken, fault, 1)
  const conditions = near.conditions.map(({ name, value }) => {
    const key = conditionKey(name, value)
    return { name, value, counts: less(totals.conditions.get(key), taken.conditions.get(key)) }
  })
  return { ...near, elsewhere: less(totals.causes, taken.causes), conditions }
}

function less(from: Counts = new Map(), taken: Counts = new Map()): Counts {
  const left = new Map<string, number>()
  for (const [cause, count] of from) {
    const rest = count - (taken.get(cause) ?? 0)
    if (rest > 0) left.set(cause, rest)
  }
  return left
}

function bump(counts: Map<string, number>, cause: string, weight: number): void {
  counts.set(cause, (counts.get(cause) ?? 0) + weight)
}

function conditionKey(name: string, value: string): string {
  return `${name}\u0000${value}`
}

function pastFault(row: Row): PastFault {
  return { ...row, units: JSON.parse(row.units), conditions: JSON.parse(row.conditions) }
}
