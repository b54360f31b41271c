// What is told later: what the workshop found in a unit, and the delay a fault caused.

import { nextSeq, scalar, sql } from '../engine/sql.ts'
import type { Writer, Written } from '../engine/writer.ts'

export type WorkshopResult = 'tested good' | 'repaired' | 'scrapped'

export interface WorkshopVisit {
  id: string
  unitId: string
  at: string
  by: string
  byName: string
  result: WorkshopResult
  words: string
}

export interface WorkshopVisits {
  add(visit: Omit<WorkshopVisit, 'at' | 'byName'> & { at?: string }): Written
  /** Newest first. */
  listByUnit(unitId: string): WorkshopVisit[]
}

export interface Delays {
  /** The newest figure of a fault counts. */
  add(delay: { id: string; faultId: string; by: string; minutes: number }): Written
  /** Minutes, null when none was told. */
  find(faultId: string): number | null
}

const storedVisit = sql<[string], object>(
  'SELECT unit_id AS unitId, by, result, words FROM workshop_visits WHERE id = ?',
)
const insertVisit = sql(`
  INSERT INTO workshop_visits (id, unit_id, at, by, result, words)
  VALUES (@id, @unitId, @at, @by, @result, @words)`)
const byUnit = sql<[string], WorkshopVisit>(`
  SELECT w.id, w.unit_id AS unitId, w.at, w.by, p.name AS byName, w.result, w.words
  FROM workshop_visits w JOIN people p ON p.id = w.by WHERE w.unit_id = ? ORDER BY w.at DESC, w.id`)

export function createWorkshopVisits({ db, write, moment, once }: Writer): WorkshopVisits {
  return {
    add: visit =>
      write(() =>
        once(
          storedVisit(db).get(visit.id),
          visit,
          () => void insertVisit(db).run({ ...visit, at: moment(visit.at) }),
        ),
      ),
    listByUnit: unitId => byUnit(db).all(unitId),
  }
}

const storedDelay = sql<[string], object>('SELECT fault_id AS faultId, by, minutes FROM delays WHERE id = ?')
const insertDelay = sql(`
  INSERT INTO delays (id, fault_id, seq, at, by, minutes)
  VALUES (@id, @faultId, ${nextSeq('delays', 'fault_id', '@faultId')}, @at, @by, @minutes)`)
const newest = scalar<[string], number>(
  'SELECT minutes FROM delays WHERE fault_id = ? ORDER BY seq DESC LIMIT 1',
)

export function createDelays({ db, write, moment, once }: Writer): Delays {
  return {
    add: delay =>
      write(() =>
        once(
          storedDelay(db).get(delay.id),
          delay,
          () => void insertDelay(db).run({ ...delay, at: moment() }),
        ),
      ),
    find: faultId => newest(db).get(faultId) ?? null,
  }
}
