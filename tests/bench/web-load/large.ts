// A depot after many years: a database with as many findings as asked for, walked on the program's own fault trees, and
// two hundred technicians each with faults in hand at the first check.

import { existsSync } from 'node:fs'
import Sqlite from 'better-sqlite3'
import { compile } from '../../../server/knowledge/compile.ts'
import { findCheck } from '../../../server/knowledge/graph.ts'
import { hashEdition, hashFile, readKnowledge } from '../../../server/knowledge/load.ts'
import type { Knowledge } from '../../../server/knowledge/types.ts'
import { openDatabase } from '../../../server/storage/engine/database.ts'
import { migrate } from '../../../server/storage/engine/migrate.ts'
import { readMigrations } from '../../../server/storage/engine/migration-files.ts'
import { createStorage } from '../../../server/storage/storage.ts'
import { once } from '../shared.ts'
import { POSITIONS, TABLETS, writeDepot, writeInHand, writeUnits } from './depot.ts'

const FINDINGS_A_FAULT = 10
const DAY = 86_400_000

export interface Standing {
  tree: string
  check: string
}

/** Where every fault in hand stands: a check that measures, and has its range. */
export const standing = once(findStanding)

function findStanding(): Standing & {
  knowledge: Knowledge
  files: ReturnType<typeof readKnowledge>['files']
} {
  const { files } = readKnowledge('knowledge')
  const { knowledge } = compile(files)
  for (const tree of knowledge?.trees.values() ?? []) {
    const check = tree.start && knowledge && findCheck(knowledge, tree.start)
    if (knowledge && tree.kind === 'fault' && check?.does.kind === 'measure' && check.does.expectation)
      return { tree: tree.slug, check: check.slug, knowledge, files }
  }
  throw new Error('No fault tree begins with a reading.')
}

/** Makes the database at `path` unless it is there; takes about a minute for a million findings. */
export function makeLarge(path: string, findings: number): void {
  if (existsSync(path)) return
  const db = openDatabase(path)
  migrate(db, readMigrations('migrations'), new Date().toISOString())
  db.pragma('synchronous = OFF') // only while it is made
  const storage = createStorage(db, () => new Date())
  const { tree, check, knowledge, files } = standing()
  const edition = hashEdition(files)
  storage.editions.create({
    id: edition,
    files: files.map(file => ({ ...file, sha256: hashFile(file.text) })),
    publishedBy: null,
    note: 'made for measuring',
  })
  const equipment = knowledge.trees.get(tree)?.equipment ?? ''
  storage.transaction(() => writeDepot(storage, equipment))
  storage.transaction(() => writeUnits(storage, knowledge.equipment.get(equipment)?.units ?? []))
  writePast(path, Math.ceil(findings / FINDINGS_A_FAULT), { tree, check, edition, knowledge })
  storage.transaction(() => writeInHand(storage, tree, edition))
  db.pragma('wal_checkpoint(TRUNCATE)')
  db.exec('ANALYZE')
  db.close()
}

interface Past {
  tree: string
  check: string
  edition: string
  knowledge: Knowledge
}

/** Closed faults over twenty years, as plain rows: neither the walk nor the writing is what is measured with them. */
function writePast(path: string, faults: number, past: Past): void {
  const db = new Sqlite(path)
  for (const pragma of ['synchronous = OFF', 'cache_size = -200000', 'foreign_keys = OFF']) db.pragma(pragma)
  const checks = ['findings', 'faults', 'attendances', 'closures'].map(table => `${table}_no_replace`)
  const sql = db.prepare<[string], string>('SELECT sql FROM sqlite_schema WHERE name = ?').pluck()
  const kept = checks.map(name => sql.get(name) ?? '')
  for (const name of checks) db.exec(`DROP TRIGGER ${name}`)
  const write = faultWriter(db, past)
  for (let from = 0; from < faults; from += 5000) {
    db.transaction(() => {
      for (let n = from; n < Math.min(faults, from + 5000); n++) write(n)
    })()
  }
  for (const trigger of kept) db.exec(trigger)
  db.close()
}

function faultWriter(db: Sqlite.Database, { tree, check, edition, knowledge }: Past) {
  const equipment = knowledge.trees.get(tree)?.equipment ?? ''
  const trees = [...knowledge.trees.values()].filter(one => one.equipment === equipment).map(one => one.slug)
  const causes = [...(knowledge.equipment.get(equipment)?.causes.keys() ?? [])].map(
    slug => `${equipment}/${slug}`,
  )
  const fault =
    db.prepare(`INSERT INTO faults (id, position_id, tree, edition_id, symptom, reported_at, reported_by,
    recorded_by, recorded_at, noticed, protection, intermittent)
    VALUES (@id, @position, @tree, @edition, 'output dead', @at, 'signaller', @by, @at, 'lamp dark', 'kept', 0)`)
  const attendance =
    db.prepare(`INSERT INTO attendances (id, fault_id, seq, person_id, started_at, seen_history_at,
    spoken_to, protection_words, isolation_words, ended_at, ended_how)
    VALUES (@attendance, @id, 1, @by, @at, @at, 'signaller', 'line blocked', 'nothing', @at, 'closed')`)
  const finding =
    db.prepare(`INSERT INTO findings (id, fault_id, attendance_id, seq, at, by, kind, tree, "check", text,
    reading, range, verdict, value, unit, flag)
    VALUES (@finding, @id, @attendance, @seq, @at, @by, 'reading', @tree, @check, @text, @reading, @range, @verdict,
    @value, 'V AC', 0)`)
  const closure =
    db.prepare(`INSERT INTO closures (id, fault_id, attendance_id, at, by, outcome, cause, cleared_itself,
    changed, words) VALUES (@closure, @id, @attendance, @at, @by, @outcome, @cause, 0, 'nothing', 'in order')`)
  const began = Date.now() - 20 * 365 * DAY
  return (n: number) => {
    const at = new Date(began + Math.floor((n * 20 * 365 * DAY) / 100_001)).toISOString()
    const cause = n % 4 === 0 ? null : (causes[(n * 31) % causes.length] ?? null)
    const outcome = cause === null ? 'not reproduced' : 'proven cause'
    const base = {
      id: `fault-${n}`,
      attendance: `att-${n}`,
      closure: `end-${n}`,
      at,
      edition,
      check,
      cause,
      outcome,
    }
    const position = `position-${(n * 7919) % POSITIONS}`
    const row = { ...base, tree: trees[n % trees.length], by: `tech-${n % TABLETS}`, position }
    fault.run(row)
    attendance.run(row)
    for (let seq = 1; seq <= FINDINGS_A_FAULT; seq++) {
      const value = 95 + ((n * 7 + seq * 13) % 300) / 10
      finding.run({
        ...row,
        ...readingRow(value),
        finding: `finding-${n}-${seq}`,
        seq,
        text: String(value),
        value,
      })
    }
    closure.run(row)
  }
}

function readingRow(value: number) {
  const range = { min: 99, max: 121, unit: 'V AC', text: '99 to 121 V AC', from: 'Demo value', demo: true }
  const verdict = {
    side: 'in range',
    zone: 'in',
    rule: 'simple',
    probability: null,
    uncertainty: null,
    advice: null,
  }
  return {
    reading: JSON.stringify({ kind: 'value', value, resolution: 0.1, unit: 'V AC' }),
    range: JSON.stringify({ ...range, working: null, floor: null }),
    verdict: JSON.stringify({ ...verdict, because: `${value} V AC is held against 99 to 121 V AC` }),
  }
}
