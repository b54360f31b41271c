import { spawnSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import {
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  utimesSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import pino from 'pino'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { scheduleBackups } from '../../../server/ops/scheduled-backups.ts'
import { readMigrations } from '../../../server/storage/engine/migration-files.ts'
import { backUp } from '../../../server/storage/safekeeping/backup.ts'
import { listBackups, rotate } from '../../../server/storage/safekeeping/backup-folder.ts'
import {
  backedUpPhoto,
  nameTroubles,
  restorePhotos,
} from '../../../server/storage/safekeeping/photo-backup.ts'
import { photoFolder, photoPath, savePhotoFile } from '../../../server/storage/safekeeping/photo-files.ts'
import { rehearse } from '../../../server/storage/safekeeping/restore.ts'
import { jpeg, png } from '../../support/pictures.ts'
import { type Made, makeFault, mine, reading } from '../make.ts'

const NOW = new Date('2026-03-02T09:00:00.000Z')
const LATER = new Date('2026-03-02T10:00:00.000Z')
const NEXT_WEEK = new Date('2026-03-09T09:00:00.000Z')
const migrations = readMigrations('migrations')
const hashOf = (bytes: Buffer) => createHash('sha256').update(bytes).digest('hex')
const clip = hashOf(jpeg)
const fuse = hashOf(png)
let dir: string
let backups: string
let made: Made
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'fourfoot-photo-backup-'))
  backups = join(dir, 'backups')
  made = makeFault(join(dir, 'fourfoot.db'))
  made.storage.findings.add(reading)
  take('clip', jpeg)
  take('fuse', png)
})
afterEach(() => {
  made.db.close()
  rmSync(dir, { recursive: true })
})

function take(id: string, bytes: Buffer): void {
  const sha256 = savePhotoFile(dir, bytes)
  const file = { sha256, bytes: bytes.length, type: 'image/jpeg' as const }
  made.storage.photos.add({ ...mine, ...file, id, words: null, findingId: 'reading', reportId: null })
}

const back = (now = NOW) => backUp(made.db, dir, backups, now)

function run(script: string, ...args: string[]) {
  const env = { ...process.env, DATA_DIR: dir, BACKUP_DIR: backups, BACKUP_KEEP: '2' }
  const ended = spawnSync(process.execPath, [`server/ops/${script}.ts`, ...args], { env })
  return { code: ended.status, out: String(ended.stdout), err: String(ended.stderr) }
}

function age(place: string, to: Date): void {
  utimesSync(place, to, to)
}

describe('pictures in a backup', () => {
  it('are copied beside it, byte for byte and each file once', async () => {
    take('clip again', jpeg)
    const { file, photos, troubles } = await back()
    expect({ photos, troubles }).toEqual({ photos: 2, troubles: [] })
    expect(readFileSync(backedUpPhoto(backups, clip)).equals(jpeg)).toBe(true)
    expect(readFileSync(backedUpPhoto(backups, fuse)).equals(png)).toBe(true)
    expect(JSON.parse(readFileSync(file.replace(/db$/, 'json'), 'utf8')).photos).toBe(2)
  })

  it('that are lost or changed are named, and all else is backed up', async () => {
    rmSync(photoPath(dir, clip))
    writeFileSync(photoPath(dir, fuse), Buffer.alloc(png.length, 1)) // the same length, other content
    const { file, troubles } = await back()
    expect(troubles.map(({ id, what }) => [id, what]).sort()).toEqual([
      ['clip', 'missing'],
      ['fuse', 'changed'],
    ])
    expect(existsSync(file)).toBe(true)
    expect(existsSync(backedUpPhoto(backups, fuse))).toBe(false)
  })

  it('are copied anew when the copy is damaged, and a good copy outlives a lost original', async () => {
    await back()
    writeFileSync(backedUpPhoto(backups, clip), 'spoilt')
    rmSync(photoPath(dir, fuse))
    expect((await back(LATER)).troubles).toEqual([])
    expect(readFileSync(backedUpPhoto(backups, clip)).equals(jpeg)).toBe(true)
  })

  it('are told by the schedule when one is lost', async () => {
    rmSync(photoPath(dir, clip))
    const kept = { dataDir: dir, backupDir: backups, backupKeep: 2, backupHours: 24 }
    const schedule = scheduleBackups({ ...kept, clock: () => new Date(), log: pino({ level: 'silent' }) })
    await schedule.tick()
    schedule.stop()
    expect(schedule.state().trouble).toContain('Picture clip of fault fault: its file is missing')
    expect(listBackups(backups)).toHaveLength(1)
  })
})

describe('rotation', () => {
  it('removes the pictures no kept backup needs, once they are a day old, and no others', async () => {
    await back()
    const other = savePhotoFile(dir, Buffer.from('of a backup that went'))
    const copy = backedUpPhoto(backups, fuse).replace(fuse, other)
    writeFileSync(copy, 'of a backup that went')
    for (const place of [copy, backedUpPhoto(backups, clip), backedUpPhoto(backups, fuse)]) age(place, NOW)
    rotate(backups, 2, LATER)
    expect(existsSync(copy)).toBe(true)
    rotate(backups, 2, NEXT_WEEK)
    expect(existsSync(copy)).toBe(false)
    for (const sha256 of [clip, fuse]) expect(existsSync(backedUpPhoto(backups, sha256))).toBe(true)
  })

  it('removes none while a backup can’t be read, and never an original', async () => {
    const { file } = await back()
    writeFileSync(file, 'not a database at all, but what is left of one')
    for (const sha256 of [clip, fuse]) age(backedUpPhoto(backups, sha256), NOW)
    expect(() => rotate(backups, 2, NEXT_WEEK)).toThrow(/fourfoot-000001-20260302T090000Z.db can’t be read/)
    for (const sha256 of [clip, fuse]) expect(existsSync(backedUpPhoto(backups, sha256))).toBe(true)
    expect(readdirSync(photoFolder(dir), { recursive: true })).toContain(join(clip.slice(0, 2), clip))
  })
})

describe('a rehearsal', () => {
  it('counts the pictures, and names one that is gone and one that was changed', async () => {
    const { file } = await back()
    expect(await rehearse(file, migrations, NOW)).toMatchObject({ photos: 2, troubles: [] })
    rmSync(backedUpPhoto(backups, clip))
    writeFileSync(backedUpPhoto(backups, fuse), Buffer.alloc(png.length, 1))
    const { troubles } = await rehearse(file, migrations, NOW)
    expect(nameTroubles(troubles).sort()).toEqual([
      `Picture clip of fault fault: its file is missing (${clip}).`,
      `Picture fuse of fault fault: its file was changed or is damaged (${fuse}).`,
    ])
  })

  it('fails at the command line then, and says so', async () => {
    await back()
    expect(run('restore', '--rehearse')).toMatchObject({
      code: 0,
      out: expect.stringContaining('2 of 2 pictures'),
    })
    rmSync(backedUpPhoto(backups, clip))
    const said = run('restore', '--rehearse')
    expect(said.code).toBe(1)
    expect(said.out).toContain('1 of 2 pictures')
    expect(said.err).toContain('Picture clip of fault fault: its file is missing')
  })
})

describe('a restore', () => {
  it('brings the pictures back, from the commands themselves', () => {
    expect(run('backup')).toMatchObject({ code: 0, err: '' })
    made.db.close()
    rmSync(photoFolder(dir), { recursive: true })
    expect(run('restore')).toMatchObject({ code: 0, err: '' })
    expect(readFileSync(photoPath(dir, clip)).equals(jpeg)).toBe(true)
    expect(readFileSync(photoPath(dir, fuse)).equals(png)).toBe(true)
  })

  it('puts a changed picture right, keeps what was there, and leaves the others alone', async () => {
    const { file } = await back()
    writeFileSync(photoPath(dir, clip), 'spoilt')
    expect((await restorePhotos(file, dir, LATER)).troubles).toEqual([])
    expect(readFileSync(photoPath(dir, clip)).equals(jpeg)).toBe(true)
    expect(readFileSync(`${photoPath(dir, clip)}.before-20260302T100000Z`, 'utf8')).toBe('spoilt')
    expect(readdirSync(join(photoFolder(dir), fuse.slice(0, 2)))).toEqual([fuse])
  })

  it('names what the backup does not hold, and restores all else', async () => {
    const { file } = await back()
    rmSync(photoFolder(dir), { recursive: true })
    rmSync(backedUpPhoto(backups, clip))
    const { troubles } = await restorePhotos(file, dir, LATER)
    expect(troubles.map(({ id, what }) => [id, what])).toEqual([['clip', 'missing']])
    expect(existsSync(photoPath(dir, fuse))).toBe(true)
  })
})
