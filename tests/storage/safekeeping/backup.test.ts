import {
  copyFileSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { readMigrations } from '../../../server/storage/engine/migration-files.ts'
import { backUp, readNote } from '../../../server/storage/safekeeping/backup.ts'
import { listBackups, rotate } from '../../../server/storage/safekeeping/backup-folder.ts'
import { putInUse, rehearse } from '../../../server/storage/safekeeping/restore.ts'
import { type Made, makeFault, makeStorage, mine, observation } from '../make.ts'

const NOW = new Date('2026-03-02T09:00:00.000Z')
const later = (hours: number) => new Date(NOW.getTime() + hours * 3_600_000)
const migrations = readMigrations('migrations')
let dir: string
let file: string
let backups: string
let made: Made
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'fourfoot-backup-'))
  file = join(dir, 'fourfoot.db')
  backups = join(dir, 'backups')
  made = makeFault(file)
})
afterEach(() => {
  made.db.close()
  rmSync(dir, { recursive: true })
})

describe('a backup', () => {
  it('holds everything up to its moment, in one file with a note, and nothing is left half made', async () => {
    made.storage.findings.add(observation)
    const { file: backup } = await backUp(made.db, dir, backups, NOW)
    expect(readdirSync(backups).sort()).toEqual([
      'fourfoot-000001-20260302T090000Z.db',
      'fourfoot-000001-20260302T090000Z.json',
    ])
    expect(await readNote(backup)).toMatchObject({ at: NOW.toISOString(), schema: migrations.length })
    const copy = join(dir, 'copy.db')
    copyFileSync(backup, copy)
    const again = makeStorage(copy)
    expect(again.storage.faults.get('fault')).toEqual(made.storage.faults.get('fault'))
    again.db.close()
  })

  it('is whole while others write, and they are not kept waiting', async () => {
    const two = makeStorage(file)
    const making = backUp(made.db, dir, backups, NOW)
    two.storage.findings.add(observation)
    const { file: backup } = await making
    two.db.close()
    expect((await rehearse(backup, migrations, NOW)).rows).toBeGreaterThan(5)
    expect(made.storage.faults.get('fault').findings).toHaveLength(1)
  })

  it('is refused, and leaves no file, when the database does not verify', async () => {
    made.db.function('trail_note', { varargs: true }, () => null)
    made.db.exec("UPDATE people SET name = 'Somebody else' WHERE id = 'ada'")
    await expect(backUp(made.db, dir, backups, NOW)).rejects.toThrow(/people ada: this row was changed/)
    expect(readdirSync(backups)).toEqual([])
  })

  it('makes the oldest go, never the newest', async () => {
    for (const hours of [0, 1, 2, 3]) await backUp(made.db, dir, backups, later(hours))
    expect(rotate(backups, 2, NOW)).toBe(2)
    expect(listBackups(backups).map(({ at }) => at)).toEqual([
      '2026-03-02T12:00:00.000Z',
      '2026-03-02T11:00:00.000Z',
    ])
    expect(readdirSync(backups)).toHaveLength(4)
    rotate(backups, 0, NOW)
    expect(listBackups(backups)).toHaveLength(1)
    expect(listBackups(join(dir, 'nowhere'))).toEqual([])
  })
})

describe('a rehearsal', () => {
  it('says that the backup opens, migrates and counts right, and in how many seconds', async () => {
    const { file: backup } = await backUp(made.db, dir, backups, NOW)
    const began = performance.now()
    const done = await rehearse(backup, migrations, NOW)
    const took = (performance.now() - began) / 1000
    expect(done).toMatchObject({ file: 'fourfoot-000001-20260302T090000Z.db', signatures: 0 })
    expect(done.seconds).toBeGreaterThanOrEqual(0)
    expect(done.seconds).toBeLessThanOrEqual(Math.ceil(took * 1000) / 1000)
  })

  it('shows a damaged file, a changed note and a missing one', async () => {
    const { file: backup } = await backUp(made.db, dir, backups, NOW)
    const whole = readFileSync(backup)
    const bytes = Buffer.from(whole)
    bytes.fill(0x5a, 8192, 8292)
    writeFileSync(backup, bytes)
    await expect(rehearse(backup, migrations, NOW)).rejects.toThrow(/was changed or is damaged/)
    writeFileSync(backup, whole)
    const note = backup.replace(/db$/, 'json')
    const said = readFileSync(note, 'utf8')
    writeFileSync(note, said.replace(/"rows": \d+/, '"rows": 99999'))
    await expect(rehearse(backup, migrations, NOW)).rejects.toThrow(/its note says 99999/)
    rmSync(note)
    await expect(rehearse(backup, migrations, NOW)).rejects.toThrow(/no note/)
  })

  it('shows a backup from a newer program', async () => {
    const { file: backup } = await backUp(made.db, dir, backups, NOW)
    await expect(rehearse(backup, migrations.slice(0, -1), NOW)).rejects.toThrow(/newer than this program/)
  })
})

describe('a restore', () => {
  it('puts the backup in use and keeps what was there', async () => {
    const { file: backup } = await backUp(made.db, dir, backups, NOW)
    made.storage.findings.add(observation)
    made.db.close()
    const aside = await putInUse(backup, file, later(5))
    made = makeStorage(file)
    expect(made.storage.faults.get('fault').findings).toEqual([])
    const before = makeStorage(aside ?? '')
    expect(before.storage.faults.get('fault').findings).toHaveLength(1)
    before.db.close()
  })

  it('keeps what was there each time, also twice within a second', async () => {
    const { file: backup } = await backUp(made.db, dir, backups, NOW)
    made.storage.findings.add(observation)
    made.db.close()
    const asides = [await putInUse(backup, file, NOW), await putInUse(backup, file, NOW)]
    expect(new Set(asides).size).toBe(2)
    const first = makeStorage(asides[0] ?? '')
    expect(first.storage.faults.get('fault').findings).toHaveLength(1)
    first.db.close()
    made = makeStorage(file)
  })

  it('is refused while the program is running', async () => {
    const { file: backup } = await backUp(made.db, dir, backups, NOW)
    await expect(putInUse(backup, file, NOW)).rejects.toThrow(/running on this database/)
    made.storage.findings.add({ ...observation, ...mine })
    expect(made.storage.faults.get('fault').findings).toHaveLength(1)
  })

  it('works where there is no database, and where there is a damaged one', async () => {
    const { file: backup } = await backUp(made.db, dir, backups, NOW)
    made.db.close()
    const fresh = join(dir, 'new', 'fourfoot.db')
    expect(await putInUse(backup, fresh, NOW)).toBeNull()
    writeFileSync(file, 'not a database at all, but what is left of one')
    const aside = await putInUse(backup, file, NOW)
    expect(existsSync(aside ?? '')).toBe(true)
    made = makeStorage(file)
    expect(made.storage.people.count()).toBe(3)
  })
})
