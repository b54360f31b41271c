// How far a depot is set up: what is on record of each thing that a fault well attended needs.

import { inForce } from '../engine/in-force.ts'
import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

export interface SetUpCounts {
  engineers: number
  technicians: number
  /** Authors and reviewers. */
  readers: number
  tablets: number
  /** Tablets that have been readied for a shift without signal; only one that trusts the certificate can be. */
  carrying: number
  sites: number
  /** In service now. */
  positions: number
  withoutUnit: number
  /** In use. */
  instruments: number
  outOfDate: number
  /** Kinds of equipment at positions in service, and those of them with an interval. */
  kinds: number
  kindsWithInterval: number
  /** Brought in from spreadsheets. */
  pastFaults: number
}

export interface SetUp {
  counts(): SetUpCounts
}

const inService = '(p.out_of_service IS NULL OR p.out_of_service > @now)'
const newestDue = `(SELECT c.due FROM calibrations c WHERE c.instrument_id = i.id
  ORDER BY c.recorded_at DESC, c.id LIMIT 1)`
const counts = sql<{ now: string }, SetUpCounts>(`SELECT
  (SELECT count(*) FROM people WHERE active = 1 AND role = 'engineer') AS engineers,
  (SELECT count(*) FROM people WHERE active = 1 AND role = 'technician') AS technicians,
  (SELECT count(*) FROM people WHERE active = 1 AND role IN ('author', 'reviewer')) AS readers,
  (SELECT count(*) FROM tablets WHERE revoked_at IS NULL) AS tablets,
  (SELECT count(DISTINCT s.tablet_id) FROM shifts s JOIN tablets b ON b.id = s.tablet_id WHERE b.revoked_at IS NULL)
    AS carrying,
  (SELECT count(*) FROM sites) AS sites,
  (SELECT count(*) FROM positions p WHERE ${inService}) AS positions,
  (SELECT count(*) FROM positions p WHERE ${inService} AND NOT EXISTS
    (SELECT 1 FROM fittings f WHERE f.position_id = p.id AND f.removed_at IS NULL)) AS withoutUnit,
  (SELECT count(*) FROM instruments WHERE active = 1) AS instruments,
  (SELECT count(*) FROM instruments i WHERE i.active = 1 AND coalesce(${newestDue}, '') < substr(@now, 1, 10))
    AS outOfDate,
  (SELECT count(DISTINCT p.equipment) FROM positions p WHERE ${inService}) AS kinds,
  (SELECT count(DISTINCT p.equipment) FROM positions p JOIN visit_intervals v ON v.equipment = p.equipment
    WHERE ${inService}) AS kindsWithInterval,
  (SELECT count(*) FROM imported_faults i WHERE ${inForce('faults', 'i.fault_id')}) AS pastFaults`)

export function createSetUp({ db, moment }: Writer): SetUp {
  return {
    counts() {
      const counted = counts(db).get({ now: moment() })
      if (!counted) throw new Error('a query of counts gave no row')
      return counted
    },
  }
}
