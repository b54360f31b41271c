// What came in another way than by a walked fault counts where it can, and is left out aloud where it cannot.
// Common practice, no published source.

import { expect, it } from 'vitest'
import { readPast } from '../../../server/review/past.ts'
import { restoringIn } from '../../../server/review/restoring.ts'
import { type Database, openDatabase } from '../../../server/storage/engine/database.ts'
import { type Migration, migrate } from '../../../server/storage/engine/migrate.ts'
import { readMigrations } from '../../../server/storage/engine/migration-files.ts'
import { createStorage } from '../../../server/storage/storage.ts'
import { START } from '../make.ts'

const day = START.slice(0, 10)
const visit = `INSERT INTO visits VALUES ('v', 'p1', 'round', 'e1', '${START}', 'ada', 'AB11')`
const found = (id: string, seq: number, reading: string, value: number | null) => `
  INSERT INTO visit_findings (id, visit_id, seq, at, by, kind, tree, "check", reading, verdict, value, unit)
  VALUES ('${id}', 'v', ${seq}, '${day}T09:0${seq}:00.000Z', 'ada', 'reading', 'round', 'output', '${reading}', '{}', ${value}, 'V AC')`
const round = [
  visit,
  found('n', 1, '{"kind":"value","value":110.5,"resolution":0.1}', 110.5),
  found('o', 2, '{"kind":"open"}', null),
]
const numbers = [
  {
    ...{ tree: 'round', check: 'output', unit: 'V AC', min: null, max: null },
    readings: [{ value: 110.5, resolution: 0.1 }],
  },
]
const short = [
  {
    ...{ positionId: 'p1', tree: 'round', check: 'output', min: null, max: null },
    segments: [[110.5, Number.POSITIVE_INFINITY]],
  },
]

it('counts a reading of a round among last digits, and one over the range as above every number', () => {
  const db = railway(readMigrations('migrations'))
  for (const sql of round) db.exec(sql)
  const { readings } = historyOf(db)
  expect(readings.numbers(0)).toEqual(numbers)
  expect([...readings.short(0)]).toEqual(short)
})

it('counts those of rounds walked before it did so', () => {
  const all = readMigrations('migrations')
  const at = all.findIndex(one => one.name.startsWith('0011'))
  const db = railway(all.slice(0, at))
  for (const sql of round) db.exec(sql)
  expect(db.prepare('SELECT max(kind) FROM check_readings').pluck().get()).toBeNull()
  migrate(db, all, START)
  const { readings } = historyOf(db)
  expect(readings.numbers(0)).toEqual(numbers)
  expect([...readings.short(0)]).toEqual(short)
})

it('takes no time to restore from a fault whose file did not say when it was put right', () => {
  const db = railway(readMigrations('migrations'))
  db.exec(`PRAGMA foreign_keys = OFF;
    INSERT INTO imports (id, at, by, subject, file_name, sha256, columns, added, changed, same, left_out)
    VALUES ('i', '${START}', 'ada', 'past faults', 'past.csv', '', '[]', 2, 0, 0, 0)`)
  const past = (id: string, known: 0 | 1, reported: string, closed = reported) =>
    db.exec(`
    INSERT INTO faults (id, position_id, tree, edition_id, symptom, reported_at, reported_by, recorded_by, recorded_at,
      noticed, protection, intermittent)
    VALUES ('${id}', 'p1', 't', 'e1', 'dead', '${reported}', 'signaller', 'ada', '${START}', 'dead', 'kept', 0);
    INSERT INTO imported_faults VALUES ('${id}', 'i', 1, NULL, 'dead', '', ${known});
    INSERT INTO closures (id, fault_id, attendance_id, at, by, outcome, cause, cleared_itself, changed, words)
    VALUES ('c${id}', '${id}', NULL, '${closed}', 'ada', 'not recorded', NULL, 0, '', '')`)
  past('said', 1, '2026-01-05T08:00:00.000Z', '2026-01-05T10:00:00.000Z')
  past('not-said', 0, '2026-01-25T08:00:00.000Z')
  const asAtMs = Date.parse(START)
  const history = historyOf(db)
  const split = restoringIn(history, readPast(history, { fromMs: 0, toMs: asAtMs }, asAtMs))
  expect(split.find(one => one.phase === 'all')).toMatchObject({
    median: 120,
    n: 1,
    missing: 0,
    endUnsaid: 1,
  })
})

/** Written to straight away: the trail begins with the storage. */
function railway(migrations: Migration[]): Database {
  const db = openDatabase(':memory:')
  migrate(db, migrations, START)
  db.exec(`INSERT INTO people (id, name, role, pin_hash, created_at) VALUES ('ada', 'Ada Wren', 'technician', 'x', '${START}');
    INSERT INTO editions (id, seq, published_at, note) VALUES ('e1', 1, '${START}', '');
    INSERT INTO sites (id, name) VALUES ('s1', 'Alderwick Bank');
    INSERT INTO positions (id, site_id, name, equipment, plate, indicated, in_service)
    VALUES ('p1', 's1', 'Signal 11', 'loop-transmitter', 'AB11', 0, '2020-01-01T00:00:00.000Z')`)
  return db
}

function historyOf(db: Database) {
  return createStorage(db, () => new Date(START)).history
}
