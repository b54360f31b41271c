// What somebody with the file in their hands may do to it, and how it shows.

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { type Database, openDatabase, openPlain } from '../../../server/storage/engine/database.ts'
import { readMigrations } from '../../../server/storage/engine/migration-files.ts'
import { type Entry, hashEntry } from '../../../server/storage/engine/trail-recorder.ts'
import { contentOf, type Value, watchedTables } from '../../../server/storage/engine/watched.ts'
import { backUp } from '../../../server/storage/safekeeping/backup.ts'
import { listBackups } from '../../../server/storage/safekeeping/backup-folder.ts'
import { schemaProblems } from '../../../server/storage/safekeeping/schema-check.ts'
import { verifyDatabase } from '../../../server/storage/safekeeping/verify.ts'
import { makeFault, mine, observation } from '../make.ts'

const NOW = new Date('2026-03-02T09:00:00.000Z')
const migrations = readMigrations('migrations')
let dir: string
let db: Database
beforeEach(async () => {
  dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-verify-'))
  const file = path.join(dir, 'fourfoot.db')
  const made = makeFault(file)
  made.storage.findings.add(observation)
  const closing = { ...mine, id: 'end', outcome: 'not reproduced' as const, cause: null, clearedItself: true }
  const signature = { id: 'sig', printedName: 'Ada Wren', meaning: 'done' }
  made.storage.closures.add({ ...closing, changed: 'nothing', words: '' }, signature)
  await backUp(made.db, dir, path.join(dir, 'backups'), NOW)
  made.db.close()
  db = openPlain(file)
})
afterEach(() => {
  db.close()
  rmSync(dir, { recursive: true })
})

const problems = () =>
  verifyDatabase(db, null, { migrations, backups: listBackups(path.join(dir, 'backups')) }).problems

const dropTriggers = () => {
  const all = db.prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'trigger'").pluck().all()
  for (const name of all) db.exec(`DROP TRIGGER "${name}"`)
  return all
}

const putBack = (statements: { sql: string }[]) => {
  for (const { sql } of statements) db.exec(sql)
}

const triggers = () =>
  db.prepare<[], { sql: string }>("SELECT sql FROM sqlite_schema WHERE type = 'trigger'").all()

/** Changes a finding, then reckons its entry and every later one anew, as the program would have. */
function rewriteFrom(first: number): void {
  const all = db.prepare<[number], Entry>(`
    SELECT seq, at, person_id AS personId, tablet_id AS tabletId, what, subject, key, old, new, content, previous
    FROM trail WHERE seq >= ? ORDER BY seq`)
  const change = db.prepare('UPDATE trail SET content = ?, previous = ?, hash = ? WHERE seq = ?')
  const before = db.prepare<[number], string>('SELECT hash FROM trail WHERE seq = ?').pluck()
  let previous = before.get(first - 1)
  for (const entry of all.all(first)) {
    const content = entry.subject === 'findings' ? contentOfFinding(entry.key) : entry.content
    const next = { ...entry, content, previous: previous ?? entry.previous }
    previous = hashEntry(next)
    change.run(content, next.previous, previous, entry.seq)
  }
}

function contentOfFinding(id: string): string {
  const table = watchedTables(db).find(({ name }) => name === 'findings')
  if (!table) throw new Error('no findings')
  const columns = table.columns.map(name => `"${name}"`).join(', ')
  const row = db.prepare<[string], Value[]>(`SELECT ${columns} FROM findings WHERE id = ?`).raw().get(id)
  return contentOf(table, row ?? [])
}

describe('verifying against the backups and the migrations', () => {
  it('finds nothing where nothing was done', () => {
    expect(problems()).toEqual([])
  })

  it('names each trigger that was dropped or changed', () => {
    const all = triggers()
    const names = dropTriggers()
    expect(names.length).toBeGreaterThan(50)
    expect(schemaProblems(db, migrations)).toEqual(names.map(name => `The trigger ${name} is missing.`))
    expect(problems()).toContain(`The trigger ${names[0]} is missing.`)
    putBack(all)
    expect(problems()).toEqual([])
    const [first = ''] = names
    db.exec(`DROP TRIGGER "${first}"; CREATE TRIGGER "${first}" AFTER INSERT ON trail BEGIN SELECT 1; END`)
    expect(problems()).toEqual([`The trigger ${first} was changed.`])
  })

  it('says so with each backup, which is made all the same', async () => {
    const made = openDatabase(path.join(dir, 'fourfoot.db'))
    db.exec('DROP TRIGGER findings_no_update')
    const backups = path.join(dir, 'backups')
    const { file, unlike } = await backUp(made, dir, backups, NOW, migrations)
    made.close()
    expect(unlike).toEqual(['The trigger findings_no_update is missing.'])
    expect(listBackups(backups)[0]?.file).toBe(file)
  })

  it('names a table, an index and a view that the program did not make', () => {
    db.exec('CREATE TABLE spare (id); CREATE INDEX odd ON findings (at); CREATE VIEW seen AS SELECT 1')
    expect(problems()).toEqual(
      expect.arrayContaining([
        'The table spare was not made by the program.',
        'The index odd was not made by the program.',
        'The view seen was not made by the program.',
      ]),
    )
  })

  it('says so when the last closure and all after it are cut off', () => {
    const all = triggers()
    dropTriggers()
    db.pragma('foreign_keys = OFF')
    const cut = db.prepare<[], number>("SELECT min(seq) FROM trail WHERE subject = 'closures'").pluck().get()
    db.exec(`DELETE FROM closures; DELETE FROM signatures`)
    db.exec('UPDATE attendances SET ended_at = NULL, ended_how = NULL')
    db.prepare('DELETE FROM trail WHERE seq >= ?').run(cut)
    putBack(all)
    expect(verifyDatabase(db).problems).toEqual([])
    expect(problems()).toEqual([
      expect.stringMatching(/that was backed up in .*: the trail’s end is missing/),
    ])
  })

  it('says so when a finding was changed and the chain reckoned anew', () => {
    const all = triggers()
    dropTriggers()
    db.exec("UPDATE findings SET note = 'other words'")
    const first = db
      .prepare<[], number>("SELECT min(seq) FROM trail WHERE subject = 'findings'")
      .pluck()
      .get()
    rewriteFrom(first ?? 0)
    putBack(all)
    expect(problems().filter(line => /that was backed up in/.test(line))).toHaveLength(1)
  })

  it('says so when even the first entry was reckoned anew', () => {
    const all = triggers()
    dropTriggers()
    db.exec("UPDATE trail SET at = '2026-01-01T00:00:00.000Z'")
    rewriteFrom(1)
    putBack(all)
    expect(problems()).toEqual([expect.stringMatching(/^1 backup is of another database/)])
  })
})
