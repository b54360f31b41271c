// The readings of each check at each position, and the work that came between them.

import type { Break, SeriesReading } from '../../history/readings/series.ts'
import { isoOf, timeMs } from '../../times.ts'
import { type Connection, sql, tuples } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

export interface SeriesName {
  positionId: string
  tree: string
  check: string
}

export interface ReadingSeries extends SeriesName {
  /** Base unit of the readings. */
  unit: string
  readings: (SeriesReading & { faultId: string | null })[]
  /** Work after which this very check was read again: before and after are two stories. */
  breaks: Break[]
}

/**
 * The numbers alone, cut at the breaks, in order of time: enough to see whether there is a trend at all. A reading over the
 * meter’s range is Infinity: it lies above every number.
 */
export interface ShortSeries extends SeriesName {
  segments: number[][]
  /** The widest limits there were; null where there was none. */
  min: number | null
  max: number | null
}

export interface HistoryReadings {
  /** One entry for each check at each position with readings since then. */
  short(sinceMs: number): Generator<ShortSeries>
  /** One series, null without readings. */
  series(name: SeriesName, sinceMs: number): ReadingSeries | null
  /** All series of a position, the longest first. */
  ofPosition(positionId: string, sinceMs: number): ReadingSeries[]
  /** Every number read since then with one count of its last digit, by check, all positions together. */
  numbers(sinceMs: number): CheckNumbers[]
  /** All series of all positions, one after another. */
  all(sinceMs: number): Generator<ReadingSeries>
}

export interface CheckNumbers {
  tree: string
  check: string
  unit: string
  readings: { value: number; resolution: number }[]
  /** The limits where all these readings had the same ones; else null. */
  min: number | null
  max: number | null
}

interface Row extends SeriesName {
  at: string
  faultId: string | null
  value: number | null
  unit: string | null
  min: number | null
  max: number | null
  afterWork: number
}

const COLUMNS = `position_id AS positionId, tree, "check", at, fault_id AS faultId, value, unit, min, max,
  after_work AS afterWork`
const ORDER = 'ORDER BY position_id, tree, "check", at, id'

const one = sql<object, Row>(`
  SELECT ${COLUMNS} FROM check_readings
  WHERE position_id = @positionId AND tree = @tree AND "check" = @check AND at >= @since ${ORDER}`)
const ofPosition = sql<object, Row>(`
  SELECT ${COLUMNS} FROM check_readings WHERE position_id = @positionId AND at >= @since ${ORDER}`)
const all = sql<object, Row>(`SELECT ${COLUMNS} FROM check_readings WHERE at >= @since ${ORDER}`)
const work = sql<[string, string], { at: string; words: string }>(`
  SELECT max(at) AS at, group_concat(action, ', ') AS words FROM repairs
  WHERE fault_id = ? AND at <= ? AND action <> 'nothing changed'`)

// Numbers joined in the database cost a fraction of a row each; `|` marks a reading taken to prove a repair.
const short = tuples<object, [string, string, string, string, number | null, number | null]>(`
  SELECT position_id, tree, "check", group_concat(
    CASE after_work WHEN 1 THEN '|' ELSE '' END || CASE kind WHEN 'open' THEN 'Infinity' ELSE value END, ' '),
    min(min), max(max)
  FROM check_readings WHERE at >= @since AND (value IS NOT NULL OR kind = 'open') GROUP BY position_id, tree, "check"`)
const numbers = tuples<object, [string, string, string, number, number, number | null, number | null]>(`
  SELECT tree, "check", coalesce(unit, ''), value, resolution, min, max FROM check_readings
  WHERE at >= @since AND value IS NOT NULL AND resolution > 0`)

export function createHistoryReadings({ db }: Writer): HistoryReadings {
  return {
    *short(sinceMs) {
      for (const [positionId, tree, check, joined, min, max] of short(db).iterate({
        since: isoOf(sinceMs),
      })) {
        const segments = joined.split('|').map(part => part.trimEnd().split(' ').map(Number))
        yield { positionId, tree, check, segments, min, max }
      }
    },
    series: (name, sinceMs) => seriesOf(db, one(db).all({ ...name, since: isoOf(sinceMs) }))[0] ?? null,
    ofPosition: (positionId, sinceMs) =>
      seriesOf(db, ofPosition(db).all({ positionId, since: isoOf(sinceMs) })).sort(
        (a, b) => b.readings.length - a.readings.length,
      ),
    numbers: sinceMs => numbersByCheck(db, sinceMs),
    *all(sinceMs) {
      let rows: Row[] = []
      for (const row of all(db).iterate({ since: isoOf(sinceMs) })) {
        const last = rows.at(-1)
        if (last !== undefined && !same(last, row)) {
          yield* seriesOf(db, rows)
          rows = []
        }
        rows.push(row)
      }
      yield* seriesOf(db, rows)
    },
  }
}

function seriesOf(db: Connection, rows: Row[]): ReadingSeries[] {
  return groupsOf(rows).flatMap(group => {
    const [first] = group
    if (first === undefined) return []
    const { positionId, tree, check } = first
    const unit = group.find(row => row.unit !== null)?.unit ?? ''
    const readings = group.flatMap(readingOf)
    const breaks = group.flatMap(row => breakBefore(db, row))
    const distinct = breaks.filter((one, index) => breaks[index - 1]?.atMs !== one.atMs)
    return [{ positionId, tree, check, unit, readings, breaks: distinct }]
  })
}

/** The latest repair of the fault before the reading that proved it. */
function breakBefore(db: Connection, row: Row): Break[] {
  if (row.afterWork === 0 || row.faultId === null) return []
  const latest = work(db).get(row.faultId, row.at)
  const atMs = timeMs(latest?.at ?? '')
  return latest && atMs !== null ? [{ atMs, words: latest.words }] : []
}

function numbersByCheck(db: Connection, sinceMs: number): CheckNumbers[] {
  const checks = new Map<string, CheckNumbers>()
  for (const [tree, check, unit, value, resolution, min, max] of numbers(db).iterate({
    since: isoOf(sinceMs),
  })) {
    const key = `${tree}#${check}`
    let ofCheck = checks.get(key)
    if (ofCheck === undefined) {
      ofCheck = { tree, check, unit, readings: [], min, max }
      checks.set(key, ofCheck)
    }
    if (ofCheck.min !== min) ofCheck.min = null
    if (ofCheck.max !== max) ofCheck.max = null
    ofCheck.readings.push({ value, resolution })
  }
  return [...checks.values()]
}

function groupsOf(rows: Row[]): Row[][] {
  const groups: Row[][] = []
  for (const row of rows) {
    const group = groups.at(-1)
    const last = group?.at(-1)
    if (group !== undefined && last !== undefined && same(last, row)) group.push(row)
    else groups.push([row])
  }
  return groups
}

function same(a: SeriesName, b: SeriesName): boolean {
  return a.check === b.check && a.tree === b.tree && a.positionId === b.positionId
}

/** None where the text of its time is none. */
function readingOf({ at, value, min, max, faultId }: Row): ReadingSeries['readings'] {
  const atMs = timeMs(at)
  return atMs === null ? [] : [{ atMs, value, min, max, faultId }]
}
