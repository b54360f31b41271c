// The demo's record cut off at some moment and opened later, as a file of past faults is opened long after its last day.

import { plantedTruths } from '../../server/demo/story/truths.ts'
import { offendersOf } from '../../server/review/offenders.ts'
import { readPast } from '../../server/review/past.ts'
import { trendsIn } from '../../server/review/trends.ts'
import { unitsIn } from '../../server/review/units.ts'
import { seasonIn } from '../../server/review/when/circumstances.ts'
import { openDatabase } from '../../server/storage/engine/database.ts'
import type { Storage } from '../../server/storage/storage.ts'
import { seeded } from '../history/chance.ts'
import { storageOver } from '../storage/make.ts'

export const dayMs = 86_400_000

export interface Cut {
  /** Nothing is on record from here on. */
  atMs: number
  /** When the review is opened. */
  openedMs: number
}

/** Cuts in the last two of three years, opened three days to two years later. */
export function cutsBefore(nowMs: number, count: number, seed = 7): Cut[] {
  const chance = seeded(seed)
  return Array.from({ length: count }, () => {
    const atMs = Math.floor(nowMs - 730 * dayMs * chance.next())
    return { atMs, openedMs: Math.floor(atMs + dayMs * (3 + 727 * chance.next())) }
  })
}

/** The railway with nothing on record from the moment on; fit for reading only. */
export function cutOff(whole: Buffer, atMs: number): Storage {
  const db = openDatabase(whole)
  const at = new Date(atMs).toISOString()
  db.pragma('foreign_keys = OFF')
  const triggers = db.prepare<[], string>(`SELECT name FROM sqlite_master WHERE type = 'trigger'`).pluck()
  for (const name of triggers.all()) db.exec(`DROP TRIGGER "${name}"`)
  db.prepare('DELETE FROM faults WHERE reported_at >= ?').run(at)
  for (const table of [
    'closures',
    'repairs',
    'findings',
    'proofs',
    'visits',
    'visit_ends',
    'workshop_visits',
  ])
    db.prepare(`DELETE FROM ${table} WHERE at >= ?`).run(at)
  db.prepare('DELETE FROM attendances WHERE started_at >= ?').run(at)
  db.prepare('DELETE FROM fittings WHERE fitted_at >= ?').run(at)
  db.prepare('UPDATE fittings SET removed_at = NULL WHERE removed_at >= ?').run(at)
  return storageOver(db).storage
}

/** What the review says stands out, by name. */
export function verdicts({ history }: Storage, asAtMs: number, fromMs: number): Set<string> {
  const past = readPast(history, { fromMs, toMs: asAtMs }, asAtMs)
  const trends = trendsIn(past)
  return new Set([
    ...trends.kinds.flatMap(({ kind, trend }) =>
      trend.value === 'worse' || trend.value === 'better' ? [`${kind} ${trend.value}`] : [],
    ),
    ...trends.positions.map(one => `${one.position.id} ${one.trend.value}`),
    ...(seasonIn(past, 'UTC').differ.value ? ['season'] : []),
    ...offendersOf(past).out.map(one => `offender ${one.position.id}`),
    ...unitsIn(history, asAtMs, id => id).carrying.map(one => `unit ${one.name}`),
  ])
}

/** What was planted in the demo's railway: to find it is right. */
export function isPlanted(verdict: string, seed: number): boolean {
  const { failing, wet } = plantedTruths(seed)
  return [...failing, wet].some(id => verdict.includes(id))
}
