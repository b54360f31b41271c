// A depot far larger than any: made up in bulk, in a file of its own. Steady failures, with one position in a hundred
// failing four times as often; a unit changed at one fault in ten; one reading, one repair and one proof a fault.

import { rmSync } from 'node:fs'
import type { Knowledge } from '../../server/knowledge/types.ts'
import { type Database, openDatabase } from '../../server/storage/engine/database.ts'
import { migrate } from '../../server/storage/engine/migrate.ts'
import { readMigrations } from '../../server/storage/engine/migration-files.ts'

export const depotNow = Date.parse('2026-06-15T09:30:00.000Z')
const yearMs = 365.25 * 86_400_000
const years = 10
export const faultsPerPosition = 100

/** Writes `faults` faults at a hundredth as many positions into `path`, as if written in the last ten years. */
export function makeLargeDepot(path: string, faults: number, knowledge: Knowledge, pinHash: string): void {
  rmSync(path, { force: true })
  const db = openDatabase(path)
  migrate(db, readMigrations('migrations'), new Date(depotNow).toISOString())
  for (const pragma of [
    'synchronous = OFF',
    'journal_mode = OFF',
    'cache_size = -500000',
    'temp_store = MEMORY',
  ])
    db.pragma(pragma)
  db.pragma('foreign_keys = OFF')
  const restore = takeOff(db)
  functions(db)
  places(db, Math.max(1, Math.round(faults / faultsPerPosition)), knowledge, pinHash)
  base(db, faults, trees(knowledge))
  for (const sql of filling) db.exec(sql)
  units(db)
  db.exec(restore.join(';\n'))
  db.exec('DROP TABLE temp.base; ANALYZE')
  db.pragma('journal_mode = WAL')
  db.close()
}

/** Triggers and plain indexes come back when all is written, which is many times faster. */
function takeOff(db: Database): string[] {
  const parts = db
    .prepare<[], { type: string; name: string; sql: string }>(
      "SELECT type, name, sql FROM sqlite_schema WHERE type IN ('trigger', 'index') AND sql IS NOT NULL ORDER BY type",
    )
    .all()
  for (const { type, name } of parts) db.exec(`DROP ${type} "${name}"`)
  return parts.map(({ sql }) => sql)
}

/** The same figures on every run. */
function functions(db: Database): void {
  db.function('chance', { deterministic: true }, (n: unknown, salt: unknown) => {
    let x = (Number(n) * 2654435761 + Number(salt) * 40503) >>> 0
    for (const shift of [16, 13, 16]) x = Math.imul(x ^ (x >>> shift), 0x45d9f3b) >>> 0
    return x / 4294967296
  })
  db.function('iso', { deterministic: true }, (ms: unknown) =>
    ms === null ? null : new Date(Number(ms)).toISOString(),
  )
}

function places(db: Database, positions: number, knowledge: Knowledge, pinHash: string): void {
  const kinds = [
    ...new Set([...knowledge.trees.values()].filter(t => t.kind === 'fault').map(t => t.equipment)),
  ]
  db.exec(`
    INSERT INTO people (id, name, role, pin_hash, created_at) VALUES
      ('engineer', 'Isla Verrin', 'engineer', '${pinHash}', '2016-01-01T00:00:00.000Z'),
      ('technician', 'Wren Aldous', 'technician', '${pinHash}', '2016-01-01T00:00:00.000Z');
    INSERT INTO editions (id, seq, published_at, note) VALUES ('old', 1, '2016-01-01T00:00:00.000Z', '')`)
  db.prepare(`
    INSERT INTO sites (id, name) WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i + 1 < ?)
    SELECT 's' || i, 'Site ' || i FROM n`).run(Math.ceil(positions / 5))
  db.prepare(`
    INSERT INTO positions (id, site_id, name, equipment, plate, indicated, in_service)
    WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i + 1 < @positions)
    SELECT 'p' || i, 's' || (i / 5), 'Position ' || i, json_extract(@kinds, '$[' || (i % CAST(@count AS INTEGER)) || ']'), 'PL' || i,
      chance(i, 1) < 0.8, iso(@from + (chance(i, 2) < 0.2) * chance(i, 3) * 5 * @year) FROM n`).run({
    positions,
    kinds: JSON.stringify(kinds),
    count: kinds.length,
    from: depotNow - years * yearMs - 86_400_000,
    year: yearMs,
  })
}

/** Trees of each equipment, with a measuring check and a cause each. */
function trees(knowledge: Knowledge) {
  return [...knowledge.trees.values()].flatMap(tree => {
    const check = [...tree.checks.values()].find(one => one.does.kind === 'measure')
    const cause = knowledge.equipment.get(tree.equipment)?.causes.values().next().value
    return tree.kind === 'fault' && check && cause
      ? [
          {
            equipment: tree.equipment,
            tree: tree.slug,
            check: check.slug,
            cause: `${tree.equipment}/${cause.slug}`,
          },
        ]
      : []
  })
}

/** One row a fault, from which all else is written. */
function base(db: Database, faults: number, all: ReturnType<typeof trees>): void {
  db.exec(`CREATE TEMP TABLE tree (equipment TEXT, k INTEGER, of INTEGER, tree TEXT, "check" TEXT, cause TEXT,
    PRIMARY KEY (equipment, k)) WITHOUT ROWID`)
  const insert = db.prepare('INSERT INTO tree VALUES (?, ?, ?, ?, ?, ?)')
  for (const { equipment, ...one } of all) {
    const own = all.filter(other => other.equipment === equipment).slice(0, 4)
    const k = own.findIndex(other => other.tree === one.tree)
    if (k >= 0) insert.run(equipment, k, own.length, one.tree, one.check, one.cause)
  }
  const positions = Math.max(1, Math.round(faults / faultsPerPosition))
  db.prepare(`
    CREATE TEMP TABLE base AS
    WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i + 1 < @faults),
    placed AS (SELECT i, CASE WHEN chance(i, 4) < 0.03 THEN CAST(chance(i, 5) * @positions / 100 AS INTEGER) * 100
      ELSE CAST(chance(i, 5) * @positions AS INTEGER) END AS p, @from + chance(i, 6) * @span AS ms FROM n)
    SELECT i, printf('%08x%08x', chance(i, 7) * 4294967296, i) AS id, 'p' || p AS position_id, ms, t.tree, t."check", t.cause,
      chance(i, 8) AS u, chance(i, 9) AS v, chance(i, 10) AS w
    FROM placed JOIN positions q ON q.id = 'p' || p
      JOIN tree t ON t.equipment = q.equipment AND t.k = CAST(chance(i, 11) * (SELECT of FROM tree x
        WHERE x.equipment = q.equipment AND x.k = 0) AS INTEGER)
    ORDER BY id`).run({
    faults,
    positions,
    from: depotNow - years * yearMs,
    span: years * yearMs - 5 * 86_400_000,
  })
}

const range = '{"min":99,"max":121,"unit":"V AC","text":"99 to 121 V AC","from":"Demo value","demo":true}'
const verdict = '{"side":"in","zone":"in","rule":"simple","because":"in range"}'

const filling = [
  `INSERT INTO faults SELECT id, position_id, tree, 'old', 'output dead', iso(ms), 'signaller', 'technician', iso(ms),
     'noticed by a driver', 'kept', u < 0.1 FROM base`,
  'INSERT INTO fault_numbers (fault_id) SELECT id FROM base',
  `INSERT INTO conditions SELECT id, 'weather', CASE WHEN v < 0.4 THEN 'rain' ELSE 'dry' END FROM base WHERE u < 0.1`,
  `INSERT INTO attendances SELECT 'a' || id, id, 1, 'technician', iso(ms + 1800000 + v * 7200000), iso(ms + 1800000),
     'signaller', 'line blocked', 'none', NULL, NULL, iso(ms + 14400000 + w * 7200000), 'closed', NULL FROM base`,
  `INSERT INTO findings (id, fault_id, attendance_id, seq, at, by, kind, tree, "check", text, reading, range, verdict, value,
     unit, flag)
   SELECT 'f' || id, id, 'a' || id, 1, iso(ms + 9600000), 'technician', 'reading', tree, "check", '110',
     '{"kind":"value","value":110,"resolution":0.1,"unit":"V AC"}', '${range}', '${verdict}',
     round(106 + 8 * (u + v + w) / 3, 1), 'V AC', 0 FROM base`,
  `INSERT INTO repairs (id, fault_id, seq, attendance_id, at, by, cause, action, words, swap)
   SELECT 'r' || id, id, 1, 'a' || id, iso(ms + 12000000), 'technician', cause,
     CASE WHEN w < 0.1 THEN 'unit replaced' ELSE 'adjusted' END, '', CASE WHEN w < 0.1 THEN '{}' END
   FROM base WHERE v < 0.85`,
  `INSERT INTO proofs (id, fault_id, seq, attendance_id, at, by, kind, cause, round, passed, text)
   SELECT 'q' || id, id, 1, 'a' || id, iso(ms + 13000000), 'technician', 'symptom', cause, 0, 1, 'gone' FROM base`,
  `INSERT INTO closures SELECT 'c' || id, id, 'a' || id, iso(ms + 14400000), 'technician',
     CASE WHEN v < 0.85 THEN 'proven cause' ELSE 'not reproduced' END, CASE WHEN v < 0.85 THEN cause END, v > 0.93, '', ''
   FROM base`,
  `INSERT INTO proved_repairs SELECT position_id, iso(ms + 14400000), id FROM base WHERE v < 0.85`,
  "INSERT INTO doubtful_faults SELECT fault_id FROM closures WHERE outcome = 'not reproduced'",
  `INSERT INTO check_readings SELECT b.position_id, b.tree, b."check", iso(b.ms + 9600000), 'f' || b.id, b.id,
     round(106 + 8 * (u + v + w) / 3, 1), 'V AC', 0.1, 'value', 99, 121, 0 FROM base b
   ORDER BY b.position_id, b.tree, b."check", b.ms`,
]

/** A unit at every position from the start, a new one at each change. */
function units(db: Database): void {
  db.exec(`
    CREATE TEMP TABLE stay AS
    SELECT 'u' || id AS unit_id, position_id, ms + 12000000 AS ms FROM base WHERE v < 0.85 AND w < 0.1
    UNION ALL SELECT 'u' || id, id, ${depotNow - years * yearMs} FROM positions;
    INSERT INTO units SELECT unit_id, 'transmitter module', unit_id, 'normal' FROM stay ORDER BY unit_id;
    INSERT INTO fittings SELECT unit_id, unit_id, position_id, iso(ms),
      iso(lead(ms) OVER (PARTITION BY position_id ORDER BY ms)) FROM stay;
    DROP TABLE stay`)
}
