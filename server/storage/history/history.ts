// The history as the engineer's review takes it: whole columns of a window of time, streamed in order, so that a depot
// with a million faults can be looked over without holding them as records.

import { oldestMs, timeMs } from '../../times.ts'
import { inForce } from '../engine/in-force.ts'
import { type Connection, scalar, sql, tuples } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'
import { createHistoryOfPosition, type HistoryOfPosition } from './history-position.ts'
import { createHistoryReadings, type HistoryReadings } from './history-readings.ts'
import { createHistoryUnits, type HistoryUnits } from './history-units.ts'
import { createHistoryWeather, type HistoryWeather } from './history-weather.ts'
import { bounds, joinedWindow, rowsOfWindow, type Span } from './history-window.ts'
import { createKnownSpans, type KnownSpans } from './known-spans.ts'

export interface HistoryPosition {
  id: string
  name: string
  siteId: string
  siteName: string
  equipment: string
  indicated: boolean
  inServiceMs: number
  outOfServiceMs: number | null
  /** Times of which no record is known; none where left out. */
  outages?: Span[]
}

export interface HistoryFault {
  id: string
  positionId: string
  /** The fault tree: one tree answers one symptom of one kind of equipment. */
  family: string
  atMs: number
}

/** What one position had of one symptom. */
export interface Family {
  positionId: string
  family: string
  timesMs: number[]
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

export interface History extends HistoryUnits, HistoryWeather {
  /** What tells from when until when the faults on record are all there were. */
  faultSources: KnownSpans['faultSources']
  /** By site and name. */
  positions(): HistoryPosition[]
  /** Moments of report in the window, ascending, for each position and symptom that has any. */
  families(window: Span): Generator<Family>
  /** Reported in the window, in order of time. */
  faults(window: Span): Generator<HistoryFault>
  /** Closed, begun, mended, found or proved in the window, in order of time. */
  closures(window: Span): Generator<HistoryClosure>
  /** Faults of the past whose file did not say when they were put right: their closure stands at the report. */
  closedUnknown(): Set<string>
  attendances(window: Span): Generator<HistoryAttendance>
  repairs(window: Span): Generator<HistoryRepair>
  /** Moments of findings, and of passed proofs, by fault. */
  findingTimes(window: Span): Generator<{ faultId: string; atMs: number }>
  proofTimes(window: Span): Generator<{ faultId: string; atMs: number }>
  /** Newest figure for each fault that has one. */
  delays(): Map<string, number>
  /** Values of the facts named, for positions that have them. */
  facts(names: readonly string[]): { positionId: string; fact: string; value: string }[]
  readings: HistoryReadings
  ofPosition: HistoryOfPosition
}

const positions = sql<
  [],
  Omit<HistoryPosition, 'indicated' | 'inServiceMs' | 'outOfServiceMs' | 'outages'> & {
    indicated: number
    inService: string
    outOfService: string | null
  }
>(`
    SELECT p.id, p.name, s.id AS siteId, s.name AS siteName, p.equipment, p.indicated, p.in_service AS inService,
      p.out_of_service AS outOfService
    FROM positions p JOIN sites s ON s.id = p.site_id ORDER BY s.name, p.name`)
const closedUnknown = scalar<[], string>('SELECT fault_id FROM imported_faults WHERE closed_known = 0')
const facts = sql<[string], { positionId: string; fact: string; value: string }>(`
  SELECT position_id AS positionId, fact, value FROM position_facts
  WHERE fact IN (SELECT value FROM json_each(?)) AND value <> '' ORDER BY fact, value, position_id`)

const families = tuples<object, [string, string, string | null]>(`
  SELECT position_id, tree, group_concat(unixepoch(reported_at), ' ') FROM faults INDEXED BY faults_families
  WHERE reported_at >= @from AND reported_at < @to AND ${inForce('faults', 'id')} GROUP BY position_id, tree`)
const delays = tuples<[], [string, number]>('SELECT fault_id, minutes FROM delays ORDER BY fault_id, seq')

const faults = joinedWindow(
  ['id', 'position_id', 'tree', 'reported_at'],
  `faults WHERE reported_at >= @from AND reported_at < @to AND ${inForce('faults', 'id')}
    ORDER BY reported_at, position_id`,
)
const closures = joinedWindow(
  ['fault_id', 'at', 'outcome', 'cause', 'cleared_itself'],
  `closures WHERE at >= @from AND at < @to AND ${inForce('faults', 'fault_id')} ORDER BY at`,
)
const attendances = joinedWindow(
  ['fault_id', 'started_at', 'ended_at'],
  'attendances WHERE started_at >= @from AND started_at < @to ORDER BY started_at',
)
const repairs = joinedWindow(
  ['id', 'fault_id', 'at', 'action', 'cause'],
  'repairs WHERE at >= @from AND at < @to ORDER BY at',
)
const findingTimes = joinedWindow(['fault_id', 'at'], 'findings WHERE at >= @from AND at < @to ORDER BY at')
const proofTimes = joinedWindow(
  ['fault_id', 'at'],
  'proofs WHERE at >= @from AND at < @to AND passed = 1 ORDER BY at',
)

export function createHistory(writer: Writer): History {
  const { db } = writer
  return {
    faultSources: createKnownSpans(writer).faultSources,
    positions: () =>
      positions(db)
        .all()
        .map(({ inService, outOfService, indicated, ...row }) => ({
          ...row,
          indicated: indicated === 1,
          inServiceMs: timeMs(inService) ?? oldestMs,
          outOfServiceMs: timeMs(outOfService ?? ''),
        })),
    *families(window) {
      for (const [positionId, family, times] of families(db).iterate(bounds(window)))
        yield {
          positionId,
          family,
          timesMs: (times?.split(' ') ?? []).map(seconds => Number(seconds) * 1000),
        }
    },
    closedUnknown: () => new Set(closedUnknown(db).iterate()),
    delays: () => new Map(delays(db).all()),
    facts: names => facts(db).all(JSON.stringify(names)),
    readings: createHistoryReadings(writer),
    ofPosition: createHistoryOfPosition(writer),
    ...createStreams(db),
    ...createHistoryUnits(writer),
    ...createHistoryWeather(writer),
  }
}

type Streams = Pick<
  History,
  'faults' | 'closures' | 'attendances' | 'repairs' | 'findingTimes' | 'proofTimes'
>

/** What happened in a window, row by row; a row whose text of a time is none is left out. */
function createStreams(db: Connection): Streams {
  return {
    *faults(window) {
      for (const [id = '', positionId = '', family = '', at = ''] of rowsOfWindow(db, faults, window))
        yield* timed(at, atMs => ({ id, positionId, family, atMs }))
    },
    *closures(window) {
      for (const row of rowsOfWindow(db, closures, window)) {
        const [faultId = '', at = '', outcome = '', cause = '', cleared] = row
        const clearedItself = cleared === '1'
        yield* timed(at, atMs => ({ faultId, atMs, outcome, cause: cause || null, clearedItself }))
      }
    },
    *attendances(window) {
      for (const [faultId = '', from = '', to = ''] of rowsOfWindow(db, attendances, window))
        yield* timed(from, fromMs => ({ faultId, fromMs, toMs: timeMs(to) }))
    },
    *repairs(window) {
      for (const row of rowsOfWindow(db, repairs, window)) {
        const [id = '', faultId = '', at = '', action = '', cause = ''] = row
        yield* timed(at, atMs => ({ id, faultId, atMs, action, cause }))
      }
    },
    *findingTimes(window) {
      for (const [faultId = '', at = ''] of rowsOfWindow(db, findingTimes, window))
        yield* timed(at, atMs => ({ faultId, atMs }))
    },
    *proofTimes(window) {
      for (const [faultId = '', at = ''] of rowsOfWindow(db, proofTimes, window))
        yield* timed(at, atMs => ({ faultId, atMs }))
    },
  }
}

function timed<T>(at: string, make: (atMs: number) => T): T[] {
  const atMs = timeMs(at)
  return atMs === null ? [] : [make(atMs)]
}
