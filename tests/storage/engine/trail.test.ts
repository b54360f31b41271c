import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import Sqlite from 'better-sqlite3'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { actAs } from '../../../server/storage/engine/acting.ts'
import { openDatabase } from '../../../server/storage/engine/database.ts'
import { verifyDatabase } from '../../../server/storage/safekeeping/verify.ts'
import { type Made, makeFault, makeStorage, mine, observation, reading } from '../make.ts'

let dir: string
let file: string
let made: Made
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'fourfoot-trail-'))
  file = join(dir, 'test.db')
  made = makeFault(file)
})
afterEach(() => {
  made.db.close()
  rmSync(dir, { recursive: true })
})

const close = { ...mine, id: 'end', outcome: 'not reproduced' as const, cause: null, clearedItself: true }
const signature = { id: 'sig', printedName: 'Ada Wren', meaning: 'I did this work' }
const sign = () => made.storage.closures.add({ ...close, changed: 'nothing', words: 'as found' }, signature)
const problems = (known?: string | null) => verifyDatabase(made.db, known).problems

/** Changes the file as somebody with the file and a tool would. */
function tamper(...sql: string[]): void {
  const stranger = new Sqlite(file)
  stranger.pragma('foreign_keys = OFF')
  const triggers = stranger
    .prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'trigger'")
    .pluck()
    .all()
  for (const name of triggers) stranger.exec(`DROP TRIGGER "${name}"`)
  for (const one of sql) stranger.exec(one)
  stranger.close()
}

describe('the trail', () => {
  it('says who did what, when and from which tablet, with the old and the new value', () => {
    made.storage.tablets.create({ id: 't1', name: 'Van 3', tokenHash: 'h', enrolledBy: 'eve' })
    actAs({ personId: 'eve', tabletId: 't1' }, () =>
      made.storage.people.update('ada', { role: 'author', pinHash: 'y' }),
    )
    expect(made.storage.trail.list({ limit: 1 })[0]).toMatchObject({
      ...{ at: '2026-03-02T08:00:00.000Z', personName: 'Eve Marsh', tabletName: 'Van 3', what: 'changed' },
      ...{ subject: 'people', key: 'ada' },
      old: '{"pin_hash":"(secret)","role":"technician"}',
      new: '{"pin_hash":"(secret)","role":"author"}',
    })
  })

  it('has an entry for every row that was written, each time, and none for what was taken back', () => {
    made.storage.findings.add(observation)
    const before = verifyDatabase(made.db)
    expect(before.problems).toEqual([])
    expect(() =>
      made.storage.transaction(() => {
        made.storage.findings.add(reading)
        throw new Error('no')
      }),
    ).toThrow('no')
    made.storage.transaction(() => {
      made.storage.disturbances.add({ ...mine, id: 'd', item: 'strap' })
      expect(() =>
        made.storage.closures.add({ ...close, by: 'ben', changed: '', words: '' }, signature),
      ).toThrow()
    })
    const after = verifyDatabase(made.db)
    expect([after.problems, after.entries - before.entries, after.rows - before.rows]).toEqual([[], 1, 1])
  })

  it('is not got round by the program itself', () => {
    expect(() => made.db.exec("UPDATE people SET name = 'x'")).toThrow(/outside a transaction/)
  })

  it('keeps in step over two connections', () => {
    const two = makeStorage(file)
    made.storage.findings.add(observation)
    two.storage.findings.add(reading)
    made.storage.disturbances.add({ ...mine, id: 'd', item: 'strap' })
    two.db.close()
    expect(problems()).toEqual([])
  })

  it('begins with the rows there are in a database from before it', () => {
    tamper('DELETE FROM trail')
    expect(problems().length).toBeGreaterThan(5)
    made.storage.trail.begin()
    expect(problems()).toEqual([])
    made.storage.trail.begin()
    expect(problems()).toEqual([])
  })

  it('keeps what happened without a row', () => {
    const event = { subject: 'wrong PIN', key: 'ada', words: { tablet: 'Van 3', times: 4 } }
    made.storage.trail.happened(event)
    const [entry] = made.storage.trail.listHappened('wrong PIN', '2026-03-01')
    expect(entry).toMatchObject({ what: 'happened', key: 'ada', new: '{"tablet":"Van 3","times":4}' })
    expect(problems()).toEqual([])
  })
})

describe('verifying', () => {
  it.each([
    ['a changed row', "UPDATE findings SET text = 'lit'", /findings seen: this row was changed/],
    ['a removed row', 'DELETE FROM findings', /findings seen: this row is missing/],
    [
      'a slipped-in row',
      "INSERT INTO sites (id, name) VALUES ('s9', 'Elsewhere')",
      /sites s9: .*not written by the program/,
    ],
    ['a changed entry', "UPDATE trail SET person_id = 'eve' WHERE seq = 3", /Trail entry 3 .*was changed/],
    ['a removed entry', 'DELETE FROM trail WHERE seq = 5', /Trail entries 5 to 5 are missing/],
    ['entries changed round', 'UPDATE trail SET seq = CASE seq WHEN 4 THEN -1 ELSE seq END', /Trail entr/],
  ])('shows %s', (_, sql, shown) => {
    made.storage.findings.add(observation)
    expect(problems()).toEqual([])
    tamper('PRAGMA ignore_check_constraints = ON', sql)
    expect(problems().join('\n')).toMatch(shown)
  })

  it('shows an end cut off, rows and all, to whoever kept the newest hash elsewhere', () => {
    made.storage.findings.add(observation)
    const { head } = verifyDatabase(made.db)
    expect(problems(head)).toEqual([])
    expect(problems(head?.slice(0, 16))).toEqual([]) // as much as a signed record shows
    tamper("DELETE FROM trail WHERE subject = 'findings'", 'DELETE FROM findings')
    expect(problems()).toEqual([])
    expect(problems(head).join()).toMatch(/copied elsewhere is not in the trail/)
    expect(problems(head?.slice(0, 16)).join()).toMatch(/copied elsewhere is not in the trail/)
  })

  it('shows a chain that was worked out anew, to whoever kept the newest hash elsewhere', () => {
    made.storage.findings.add(observation)
    const { head } = verifyDatabase(made.db)
    tamper("UPDATE findings SET text = 'lit'", 'DELETE FROM trail')
    made.storage.trail.begin()
    expect(problems()).toEqual([])
    expect(problems(head)).toHaveLength(1)
  })
})

describe('a signature', () => {
  it('is bound to everything on record for the fault, with the name, the time and the meaning', () => {
    made.storage.findings.add(reading)
    made.storage.disturbances.add({ ...mine, id: 'd', item: 'strap' })
    sign()
    expect(problems()).toEqual([])
    const { signatures } = verifyDatabase(made.db)
    expect(signatures).toBe(1)
  })

  it.each([
    ["UPDATE findings SET text = '110'"],
    ["UPDATE disturbances SET item = 'none'"],
    ["UPDATE closures SET words = 'other'"],
    ["UPDATE conditions SET value = 'dry'"],
    ["UPDATE faults SET noticed = 'other'"],
    ["UPDATE attendances SET spoken_to = 'nobody'"],
    ["UPDATE signatures SET meaning = 'I was not there'"],
    ["UPDATE signatures SET printed_name = 'Ben Holt'"],
    ["UPDATE signatures SET at = '2026-03-03T00:00:00.000Z'"],
    ['DELETE FROM disturbances'],
  ])('no longer fits after %s, though the trail was worked out anew', sql => {
    made.storage.findings.add(reading)
    made.storage.disturbances.add({ ...mine, id: 'd', item: 'strap' })
    sign()
    tamper(sql, 'DELETE FROM trail')
    made.storage.trail.begin()
    expect(problems().join()).toMatch(/is not what is on record now/)
  })

  it('can be verified on a copy that nobody may write', () => {
    sign()
    made.db.pragma('wal_checkpoint(TRUNCATE)')
    const copy = new Sqlite(file, { readonly: true })
    expect(verifyDatabase(copy).problems).toEqual([])
    copy.close()
    expect(openDatabase).toBeDefined()
  })
})
