import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { closeSync, mkdtempSync, openSync, rmSync, writeFileSync, writeSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import Sqlite from 'better-sqlite3'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { openDatabase } from '../../../server/storage/engine/database.ts'
import { migrate, schemaVersion } from '../../../server/storage/engine/migrate.ts'
import { storageTrouble } from '../../../server/storage/engine/trouble.ts'
import { verifyDatabase } from '../../../server/storage/safekeeping/verify.ts'
import { createStorage } from '../../../server/storage/storage.ts'
import { halfWay } from '../engine/half-way.ts'
import { type Made, makeFault, makeStorage, mine, observation, reading } from '../make.ts'

let dir: string
let file: string
let made: Made
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'fourfoot-disaster-'))
  file = join(dir, 'test.db')
  made = makeFault(file)
  made.storage.findings.add(observation)
})
afterEach(() => {
  made.db.close()
  rmSync(dir, { recursive: true })
})

/** What is said when the write fails. */
function troubleOf(write: () => unknown): string {
  try {
    write()
  } catch (error) {
    return storageTrouble(error) ?? `unexplained: ${error}`
  }
  return 'none'
}

/** The record is as it was, the trail holds, and the next write works. */
function holds(count = 1): void {
  expect(made.storage.faults.get('fault').findings).toHaveLength(count)
  expect(verifyDatabase(made.db).problems).toEqual([])
  made.storage.findings.add({ ...reading, id: 'after' })
  expect(made.storage.faults.get('fault').findings).toHaveLength(count + 1)
}

describe('when the disk is full', () => {
  it('refuses the write whole, says so, and goes on once there is room', () => {
    const pages = made.db.pragma('page_count', { simple: true })
    made.db.pragma(`max_page_count = ${pages}`) // the same error from the same code as a full disk
    let taken = 0
    const fill = () => {
      for (; taken < 400; taken++)
        made.storage.findings.add({ ...observation, id: `fill ${taken}`, note: 'x'.repeat(900) })
    }
    expect(troubleOf(fill)).toMatch(/disk of the database is full/)
    const many = () =>
      made.storage.transaction(() => {
        made.storage.disturbances.add({ ...mine, id: 'd', item: 'x'.repeat(400) })
        fill()
      })
    expect(troubleOf(many)).toMatch(/disk of the database is full/)
    expect(made.storage.faults.get('fault').disturbances).toEqual([])
    made.db.pragma('max_page_count = 1000000')
    holds(1 + taken)
  })
})

describe('when the disk is read-only', () => {
  it('says so, and everything can still be read', () => {
    made.db.pragma('wal_checkpoint(TRUNCATE)')
    const db = new Sqlite(file, { readonly: true })
    const storage = createStorage(db, () => new Date())
    expect(troubleOf(() => storage.findings.add({ ...observation, id: 'new' }))).toMatch(/read-only/)
    expect(storage.faults.get('fault').findings).toHaveLength(1)
    db.close()
    holds()
  })
})

describe('when another program holds the database', () => {
  it('waits, says so, and loses nothing', () => {
    const other = new Sqlite(file)
    other.exec('BEGIN IMMEDIATE')
    made.db.pragma('busy_timeout = 50')
    expect(troubleOf(() => made.storage.findings.add(reading))).toMatch(/held by another program/)
    expect(made.storage.faults.get('fault').findings).toHaveLength(1)
    other.exec('ROLLBACK')
    other.close()
    holds()
  })
})

describe('when a page of the file is damaged', () => {
  /** Spoils the first page of a table; 'sqlite_schema' for the first page of the file's own list. */
  function spoil(table: string): void {
    const root = made.db
      .prepare<[string], number>('SELECT rootpage FROM sqlite_schema WHERE name = ?')
      .pluck()
    const page = root.get(table) ?? 1
    made.db.close()
    const handle = openSync(file, 'r+')
    writeSync(handle, Buffer.alloc(1024, 0xa5), 0, 1024, (page - 1) * 4096 + (page === 1 ? 100 : 0))
    closeSync(handle)
  }

  it('says so instead of showing what is not so, and verifying tells', () => {
    for (let n = 0; n < 200; n++)
      made.storage.findings.add({ ...observation, id: `more ${n}`, note: 'x'.repeat(500) })
    spoil('findings')
    const db = openDatabase(file)
    const storage = createStorage(db, () => new Date())
    expect(troubleOf(() => storage.faults.get('fault'))).toMatch(/damaged/)
    expect(storage.people.list()).toHaveLength(3)
    expect(verifyDatabase(db).problems.join()).toMatch(/The file is damaged/)
    db.close()
    made = makeStorage(join(dir, 'other.db'))
  })

  it('does not start when it is the list of tables that is damaged, and says why', () => {
    spoil('sqlite_schema')
    expect(troubleOf(() => openDatabase(file))).toMatch(/damaged/)
    made = makeStorage(join(dir, 'other.db'))
  })

  it('says so when the file is no database at all', () => {
    const other = join(dir, 'other.db')
    writeFileSync(other, 'x'.repeat(9000))
    expect(troubleOf(() => openDatabase(other).pragma('schema_version'))).toMatch(/not a database/)
  })
})

describe('when the clock is set back', () => {
  it('keeps the order of arrival, the trail, and lets work go on', () => {
    made.at('2026-03-01T20:00:00.000Z')
    made.storage.findings.add(reading)
    made.storage.disturbances.add({ ...mine, id: 'd', item: 'strap' })
    const { findings } = made.storage.faults.get('fault')
    expect(findings.map(({ id }) => id)).toEqual(['seen', 'reading'])
    const close = { ...mine, id: 'end', outcome: 'not reproduced' as const, cause: null, clearedItself: true }
    const signature = { id: 'sig', printedName: 'Ada Wren', meaning: 'done' }
    made.storage.closures.add({ ...close, changed: 'nothing', words: '' }, signature)
    expect(verifyDatabase(made.db).problems).toEqual([])
    expect(made.storage.faults.summary('fault').minutes).toBe(0)
  })
})

describe('when the power goes in the middle of a migration', () => {
  it('is as it was before, and migrates at the next start', async () => {
    const before = schemaVersion(made.db)
    made.db.close()
    const script = join(import.meta.dirname, '../engine/half-migrated.ts')
    const child = spawn(process.execPath, [script, file], {
      stdio: ['ignore', 'pipe', 'inherit'],
    })
    await once(child.stdout, 'data')
    child.kill('SIGKILL')
    await once(child, 'close')
    made = makeStorage(file)
    expect(schemaVersion(made.db)).toBe(before)
    expect(() => made.db.prepare('SELECT 1 FROM spare')).toThrow(/no such table/)
    holds()
    migrate(made.db, halfWay(false), '2026-03-02T08:00:00.000Z')
    expect(made.db.prepare('SELECT count(*) FROM spare').pluck().get()).toBe(5)
    expect(schemaVersion(made.db)).toBe(before + 1)
  })
})
