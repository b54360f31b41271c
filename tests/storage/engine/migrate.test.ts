import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import Sqlite from 'better-sqlite3'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { type Database, openDatabase } from '../../../server/storage/engine/database.ts'
import {
  type Migration,
  MigrationError,
  migrate,
  NewerDatabaseError,
  schemaVersion,
} from '../../../server/storage/engine/migrate.ts'
import { readMigrations } from '../../../server/storage/engine/migration-files.ts'

const NOW = '2026-03-02T08:00:00.000Z'
const first: Migration = {
  name: '0001-a',
  sql: 'CREATE TABLE a (n INTEGER) STRICT; INSERT INTO a VALUES (1);',
}
const second: Migration = { name: '0002-b', sql: 'ALTER TABLE a ADD COLUMN m TEXT;' }

let dir: string
let file: string
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'fourfoot-migrate-'))
  file = join(dir, 'test.db')
})
afterEach(() => rmSync(dir, { recursive: true }))

function withDatabase<T>(use: (db: Database) => T): T {
  const db = openDatabase(file)
  try {
    return use(db)
  } finally {
    db.close()
  }
}

const run = (migrations: Migration[]) => withDatabase(db => migrate(db, migrations, NOW))
const contents = (db: Database) => [
  db.prepare('SELECT type, name, sql FROM sqlite_schema ORDER BY name').all(),
  db.prepare('SELECT * FROM a').all(),
  db.prepare('SELECT * FROM migrations').all(),
]

describe('migrations', () => {
  it('keep what was brought in, and what points at it, where the list of what may be brought in grows', () => {
    const all = readMigrations('migrations')
    run(all.slice(0, 13))
    withDatabase(db => {
      db.exec(`INSERT INTO people (id, name, role, pin_hash, created_at) VALUES ('eve', 'Eve', 'engineer', 'x', '${NOW}');
        INSERT INTO sites (id, name) VALUES ('s', 'S');
        INSERT INTO imports VALUES ('i', '${NOW}', 'eve', 'sites', 'sites.csv', 'h', '{}', 1, 0, 0, 0)`)
      const before = db.prepare('SELECT * FROM imports').all()
      migrate(db, all, NOW)
      expect(db.prepare('SELECT * FROM imports').all()).toEqual(before)
      expect(db.prepare("SELECT given FROM people WHERE id = 'eve'").pluck().get()).toBeNull()
      db.exec("INSERT INTO daily_temperatures VALUES ('2026-01-05', -4.5, 1, 'i', 2)")
      expect(() => db.exec("INSERT INTO daily_temperatures VALUES ('2026-01-06', 0, 1, 'none', 3)")).toThrow(
        'FOREIGN KEY',
      )
    })
  })

  // SQLite's documentation of SQLITE_DBCONFIG_ENABLE_QPSG (from memory): with samples a bound value may change the plan,
  // so the statement is compiled anew; seen in a profile of the program, too.
  it('keep what another tool counted, without the samples that have each statement planned anew', () => {
    run([first])
    withDatabase(db => {
      db.exec('CREATE INDEX a_n ON a (n); ANALYZE')
      expect(db.prepare('SELECT count(*) FROM sqlite_stat4').pluck().get()).toBeGreaterThan(0)
    })
    run([first])
    withDatabase(db => {
      expect(db.prepare('SELECT * FROM sqlite_stat4').all()).toEqual([])
      expect(db.prepare("SELECT tbl, idx, stat FROM sqlite_stat1 WHERE tbl = 'a'").all()).toEqual([
        { tbl: 'a', idx: 'a_n', stat: '1 1' },
      ])
    })
  })

  it('build the whole database from an empty file, sound and in strict tables', () => {
    const ours = readMigrations('migrations')
    run(ours)
    withDatabase(db => {
      expect(schemaVersion(db)).toBe(ours.length)
      expect(db.pragma('integrity_check', { simple: true })).toBe('ok')
      expect(db.pragma('journal_mode', { simple: true })).toBe('wal')
      const tables = db.pragma('table_list') as { name: string; type: string; strict: number }[]
      const own = tables.filter(({ name, type }) => type === 'table' && !name.startsWith('sqlite_'))
      expect(own.length).toBeGreaterThan(25)
      expect(own.filter(({ strict }) => !strict)).toEqual([])
    })
  })

  it('give every foreign key that is looked up by an index', () => {
    run(readMigrations('migrations'))
    withDatabase(db => {
      const keys = db.prepare<[], { table: string; column: string }>(`
        SELECT t.name AS "table", f."from" AS "column"
        FROM pragma_table_list t, pragma_foreign_key_list(t.name) f WHERE t.type = 'table' AND f.seq = 0`)
      const leading = db.prepare<[], string>(`
        SELECT t.name || '.' || c.name FROM pragma_table_list t, pragma_index_list(t.name) i, pragma_index_info(i.name) c
        WHERE c.seqno = 0`)
      const indexed = new Set(leading.pluck().all())
      // Entries are looked up by their fault; people and attendances they point at can't go away.
      const looked = keys.all().filter(({ column }) => column !== 'by' && column !== 'attendance_id')
      expect(looked.length).toBeGreaterThan(20)
      expect(looked.filter(({ table, column }) => !indexed.has(`${table}.${column}`))).toEqual([])
    })
  })

  it('run once each, in order, and are recorded', () => {
    run([first])
    run([first, second])
    run([first, second])
    withDatabase(db => {
      expect(db.prepare('SELECT number, name, applied_at FROM migrations').all()).toEqual([
        { number: 1, name: '0001-a', applied_at: NOW },
        { number: 2, name: '0002-b', applied_at: NOW },
      ])
      expect(db.prepare('SELECT * FROM a').all()).toEqual([{ n: 1, m: null }])
    })
  })

  it.each([
    [
      'it stops half way',
      'CREATE TABLE c (x TEXT); INSERT INTO a VALUES (2); INSERT INTO nowhere VALUES (1);',
    ],
    [
      'it leaves a row that points at nothing',
      'CREATE TABLE c (x TEXT REFERENCES a (n)); INSERT INTO c VALUES (9);',
    ],
    ['it breaks a check', 'CREATE TABLE c (x TEXT CHECK (x > 1)); DROP TABLE a; INSERT INTO c VALUES (0);'],
  ])('leave the file as it was when one fails: %s', (_, sql) => {
    run([first])
    const before = { bytes: readFileSync(file), contents: withDatabase(contents) }
    expect(() => run([first, { name: '0002-bad', sql }])).toThrow(MigrationError)
    expect(readFileSync(file)).toEqual(before.bytes)
    expect(withDatabase(contents)).toEqual(before.contents)
    run([first, second])
  })

  it('leave foreign keys on, whether they worked or not', () => {
    withDatabase(db => {
      migrate(db, [first], NOW)
      expect(db.pragma('foreign_keys', { simple: true })).toBe(1)
      expect(() => migrate(db, [first, { name: '0002-bad', sql: 'nonsense' }], NOW)).toThrow(
        /0002-bad failed/,
      )
      expect(db.pragma('foreign_keys', { simple: true })).toBe(1)
    })
  })
})

describe('a database that is not for this program', () => {
  /** The refusal must leave every byte, and no file beside it. */
  function refuses(migrations: Migration[], error: RegExp | typeof NewerDatabaseError): void {
    const bytes = readFileSync(file)
    expect(() => run(migrations)).toThrow(error)
    expect(readFileSync(file)).toEqual(bytes)
    expect(readdirSync(dir)).toEqual(['test.db'])
  }

  it('is refused when it is newer', () => {
    run([first, second])
    refuses([first], NewerDatabaseError)
    refuses([first], /newer than this program \(version 2; the program knows 1\)/)
  })

  it('is refused when it is newer and came from a copy that keeps no log', () => {
    run([first, second])
    const db = new Sqlite(file)
    db.pragma('journal_mode = DELETE')
    db.close()
    refuses([first], NewerDatabaseError)
  })

  it('is refused when it was made with other migrations', () => {
    run([first])
    refuses([{ ...first, sql: `${first.sql} -- changed` }], /another migration 0001-a/)
    refuses([{ ...first, name: '0001-other' }], /another migration/)
  })

  it('is refused when it is somebody else’s', () => {
    const db = new Sqlite(file)
    db.exec('CREATE TABLE theirs (x)')
    db.close()
    refuses([first], /holds other tables/)
  })
})

describe('the folder of migrations', () => {
  const write = (...names: string[]) => {
    for (const name of names) writeFileSync(join(dir, name), 'SELECT 1;')
  }

  it('is read in order of number', () => {
    write('0002-b.sql', '0001-a.sql', 'notes.md')
    expect(readMigrations(dir).map(({ name }) => name)).toEqual(['0001-a', '0002-b'])
  })

  it.each([
    [['0001-a.sql', '0003-c.sql'], /expected number 0002/],
    [['0001-a.sql', '0001-b.sql'], /expected number 0002/],
    [['first.sql'], /expected number 0001/],
  ])('is refused with %j', (names, error) => {
    write(...names)
    expect(() => readMigrations(dir)).toThrow(error)
  })

  it('is read the same whatever the line ends', () => {
    run([{ ...first, sql: 'CREATE TABLE a (\n n INTEGER\n) STRICT;' }])
    run([{ ...first, sql: 'CREATE TABLE a (\r\n n INTEGER\r\n) STRICT;' }])
  })
})
