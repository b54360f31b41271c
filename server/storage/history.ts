// The history as the engineer's review takes it: whole columns of a window of time, streamed in order, so that a depot
// with a million faults can be looked over without holding them as records.

import type { Stay } from '../history/swaps.ts'
import { createHistoryOfPosition, type HistoryOfPosition } from './history-position.ts'
import { createHistoryReadings, type HistoryReadings } from './history-readings.ts'
import { bounds, type Span } from './history-window.ts'
import type { Writer } from './writer.ts'

export interface HistoryPosition {
  id: string
  name: string
  siteId: string
  siteName: string
  equipment: string
  indicated: boolean
  inServiceMs: number
  outOfServiceMs: number | null
}

export interface HistoryFault {
  id: string
  positionId: string
  /** The fault tree: one tree answers one symptom of one kind of equipment. */
  family: string
  atMs: number
}

export interface HistoryClosure {
  faultId: string
  atMs: number
  outcome: string
  cause: string | null
  clearedItself: boolean
}

export interface HistoryAttendance {
  faultId: string
  fromMs: number
  /** null: still open. */
  toMs: number | null
}

export interface HistoryRepair {
  id: string
  faultId: string
  atMs: number
  action: string
  cause: string
}

export interface History {
  /** By site and name. */
  positions(): HistoryPosition[]
  /** Reported in the window, in order of time. */
  faults(window: Span): Generator<HistoryFault>
  /** Closed, begun, mended, found or proved in the window, in order of time. */
  closures(window: Span): Generator<HistoryClosure>
  attendances(window: Span): Generator<HistoryAttendance>
  repairs(window: Span): Generator<HistoryRepair>
  /** Moments of findings, and of passed proofs, by fault. */
  findingTimes(window: Span): Generator<{ faultId: string; atMs: number }>
  proofTimes(window: Span): Generator<{ faultId: string; atMs: number }>
  /** Every unit's stays at positions, ever, in order of fitting. */
  stays(): Stay[]
  unitNames(ids: readonly string[]): Map<string, string>
  /** Faults reported at each position in the window; positions without any are left out. */
  countsByPosition(window: Span): Map<string, number>
  /** Newest figure for each fault that has one. */
  delays(): Map<string, number>
  /** How often each word was noted of a condition at faults in the window. */
  conditions(name: string, window: Span): { value: string; faults: number }[]
  /** Values of the facts named, for positions that have them. */
  facts(names: readonly string[]): { positionId: string; fact: string; value: string }[]
  readings: HistoryReadings
  ofPosition: HistoryOfPosition
}

type Raw = (string | number | null)[]

export function createHistory(writer: Writer): History {
  const { db } = writer
  const stream = (sql: string) => db.prepare<object, Raw>(sql).raw()
  const positions = db.prepare<
    [],
    Omit<HistoryPosition, 'indicated' | 'inServiceMs' | 'outOfServiceMs'> & {
      indicated: number
      inService: string
      outOfService: string | null
    }
  >(`
    SELECT p.id, p.name, s.id AS siteId, s.name AS siteName, p.equipment, p.indicated, p.in_service AS inService,
      p.out_of_service AS outOfService
    FROM positions p JOIN sites s ON s.id = p.site_id ORDER BY s.name, p.name`)
  const faults = stream(`
    SELECT id, position_id, tree, reported_at FROM faults
    WHERE reported_at >= @from AND reported_at < @to ORDER BY reported_at, position_id`)
  const closures = stream(`
    SELECT fault_id, at, outcome, cause, cleared_itself FROM closures WHERE at >= @from AND at < @to ORDER BY at`)
  const attendances = stream(`
    SELECT fault_id, started_at, ended_at FROM attendances
    WHERE started_at >= @from AND started_at < @to ORDER BY started_at`)
  const repairs = stream(`
    SELECT fault_id, at, action, cause, id FROM repairs WHERE at >= @from AND at < @to ORDER BY at`)
  const findingTimes = stream('SELECT fault_id, at FROM findings WHERE at >= @from AND at < @to ORDER BY at')
  const proofTimes = stream(
    'SELECT fault_id, at FROM proofs WHERE at >= @from AND at < @to AND passed = 1 ORDER BY at',
  )
  // A unit was taken out for a fault when a repair at that moment changed it; for the symptom of that repair's fault.
  const stays = db
    .prepare<[], Raw>(`
    SELECT f.unit_id, u.kind, f.position_id, p.equipment, f.fitted_at, f.removed_at,
      CASE WHEN f.removed_at IS NOT NULL THEN
        (SELECT q.tree FROM repairs r JOIN faults q ON q.id = r.fault_id
         WHERE r.at = f.removed_at AND r.action = 'unit replaced' AND q.position_id = f.position_id) END,
      CASE WHEN f.removed_at IS NOT NULL THEN
        (SELECT w.result FROM workshop_visits w WHERE w.unit_id = f.unit_id AND w.at >= f.removed_at
         ORDER BY w.at LIMIT 1) END
    FROM fittings f JOIN units u ON u.id = f.unit_id JOIN positions p ON p.id = f.position_id
    ORDER BY f.fitted_at`)
    .raw()
  const unitNames = db.prepare<[string], { id: string; name: string }>(
    `SELECT id, kind || ' ' || serial AS name FROM units WHERE id IN (SELECT value FROM json_each(?))`,
  )
  const counts = stream(`
    SELECT position_id, count(*) FROM faults INDEXED BY faults_window
    WHERE reported_at >= @from AND reported_at < @to GROUP BY position_id`)
  const delays = db.prepare<[], Raw>('SELECT fault_id, minutes FROM delays ORDER BY fault_id, seq').raw()
  const conditions = db.prepare<object, { value: string; faults: number }>(`
    SELECT c.value, count(*) AS faults FROM conditions c JOIN faults f ON f.id = c.fault_id
    WHERE c.name = @name AND f.reported_at >= @from AND f.reported_at < @to
    GROUP BY c.value ORDER BY faults DESC, c.value`)
  const facts = db.prepare<[string], { positionId: string; fact: string; value: string }>(`
    SELECT position_id AS positionId, fact, value FROM position_facts
    WHERE fact IN (SELECT value FROM json_each(?)) AND value <> '' ORDER BY fact, value, position_id`)

  return {
    positions: () =>
      positions.all().map(({ inService, outOfService, indicated, ...row }) => ({
        ...row,
        indicated: indicated === 1,
        inServiceMs: Date.parse(inService),
        outOfServiceMs: timeOf(outOfService),
      })),
    *faults(window) {
      for (const [id, positionId, family, at] of faults.iterate(bounds(window)))
        yield { id: text(id), positionId: text(positionId), family: text(family), atMs: moment(at) }
    },
    *closures(window) {
      for (const [faultId, at, outcome, cause, cleared] of closures.iterate(bounds(window)))
        yield {
          faultId: text(faultId),
          atMs: moment(at),
          outcome: text(outcome),
          cause: cause === null || cause === undefined ? null : String(cause),
          clearedItself: cleared === 1,
        }
    },
    *attendances(window) {
      for (const [faultId, from, to] of attendances.iterate(bounds(window)))
        yield { faultId: text(faultId), fromMs: moment(from), toMs: timeOf(to) }
    },
    *repairs(window) {
      for (const [faultId, at, action, cause, id] of repairs.iterate(bounds(window)))
        yield {
          id: text(id),
          faultId: text(faultId),
          atMs: moment(at),
          action: text(action),
          cause: text(cause),
        }
    },
    *findingTimes(window) {
      for (const [faultId, at] of findingTimes.iterate(bounds(window)))
        yield { faultId: text(faultId), atMs: moment(at) }
    },
    *proofTimes(window) {
      for (const [faultId, at] of proofTimes.iterate(bounds(window)))
        yield { faultId: text(faultId), atMs: moment(at) }
    },
    stays: () => stays.all().map(stay),
    unitNames: ids => new Map(unitNames.all(JSON.stringify(ids)).map(({ id, name }) => [id, name])),
    countsByPosition: window =>
      new Map(counts.all(bounds(window)).map(([id, count]) => [text(id), Number(count)])),
    delays: () => new Map(delays.all().map(([faultId, minutes]) => [text(faultId), Number(minutes)])),
    conditions: (name, window) => conditions.all({ name, ...bounds(window) }),
    facts: names => facts.all(JSON.stringify(names)),
    readings: createHistoryReadings(writer),
    ofPosition: createHistoryOfPosition(writer),
  }
}

function stay([unitId, kind, positionId, place, fitted, removed, family, workshop]: Raw): Stay {
  const result = workshop === 'tested good' || workshop === 'repaired' ? workshop : null
  return {
    unitId: text(unitId),
    kind: text(kind),
    positionId: text(positionId),
    place: text(place),
    fittedMs: moment(fitted),
    removedMs: timeOf(removed),
    removedFor: family === null || family === undefined ? null : String(family),
    workshop: removed === null ? null : (result ?? 'not known'),
  }
}

function text(value: Raw[number] | undefined): string {
  return typeof value === 'string' ? value : String(value ?? '')
}

function moment(value: Raw[number] | undefined): number {
  return Date.parse(text(value))
}

function timeOf(value: Raw[number] | undefined): number | null {
  return typeof value === 'string' ? Date.parse(value) : null
}
