import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  renameSync,
  rmSync,
  utimesSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { backUp, readNote } from '../../../server/storage/safekeeping/backup.ts'
import {
  listBackups,
  listSetAside,
  rotate,
  setAside,
  sweepParts,
} from '../../../server/storage/safekeeping/backup-folder.ts'
import { type Made, makeFault, makeStorage, observation } from '../make.ts'

const NOW = new Date('2026-03-02T09:00:00.000Z')
const later = (hours: number) => new Date(NOW.getTime() + hours * 3_600_000)
let dir: string
let file: string
let backups: string
let made: Made
let count = 0
beforeEach(() => {
  dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-backups-'))
  file = path.join(dir, 'fourfoot.db')
  backups = path.join(dir, 'backups')
  made = makeFault(file)
})
afterEach(() => {
  made.db.close()
  rmSync(dir, { recursive: true })
})

const work = () => made.storage.findings.add({ ...observation, id: `finding ${count++}` })
const back = (now: Date) => backUp(made.db, dir, backups, now)
const names = (folder = backups) => listBackups(folder).map(one => path.basename(one.file))

/** Three backups with work between them. */
async function three(): Promise<string[]> {
  for (const day of [0, 24, 48]) {
    work()
    await back(later(day))
  }
  return names()
}

describe('the order of backups', () => {
  it('is that in which they were made, also when the clock once stood a year ahead', async () => {
    await back(NOW)
    const { file: ahead, clock: nothing } = await back(later(365 * 24))
    work()
    const { file: newest, clock } = await back(later(24))
    expect(nothing).toBeNull()
    expect(clock).toMatch(/dated 2027-03-02T09:00:00.000Z.*the clock stood wrong/)
    expect(listBackups(backups)[0]?.file).toBe(newest)
    work()
    await back(later(48))
    expect(rotate(backups, 2, later(48))).toBe(2)
    expect(existsSync(newest)).toBe(true)
    expect(existsSync(ahead)).toBe(false)
  })

  it('holds within one second, and none is written over another', async () => {
    for (let n = 0; n < 3; n++) await back(NOW)
    expect(listBackups(backups).map(({ seq }) => seq)).toEqual([3, 2, 1])
  })

  it('puts those from before they were numbered first, by how much they hold', async () => {
    await three()
    const stale = 'fourfoot-20270302T090000Z'
    for (const [index, name] of names().reverse().entries()) {
      const old = index === 0 ? stale : name.replace(/-\d{6}-/, '-').replace('.db', '')
      for (const end of ['.db', '.json'])
        renameSync(path.join(backups, name.replace('.db', end)), path.join(backups, old + end))
    }
    expect(names().at(-1)).toBe(`${stale}.db`)
    work()
    await back(later(72))
    expect(names()[0]).toMatch(/^fourfoot-000001-/)
  })
})

describe('rotation', () => {
  it('removes none of another database', async () => {
    const before = await three()
    made.db.close()
    for (const end of ['', '-wal', '-shm']) rmSync(file + end, { force: true })
    made = makeStorage(file)
    made.storage.people.create({ id: 'new', name: 'New Person', role: 'engineer', pinHash: 'x' })
    const { unlike } = await back(later(72))
    expect(unlike).toEqual([expect.stringMatching(/^3 backups are of another database/)])
    for (let n = 4; n < 9; n++) await back(later(24 * n))
    expect(rotate(backups, 2, later(400))).toBe(4)
    expect(names()).toEqual([...names().slice(0, 2), ...before])
  })

  it('removes none at all for a database that holds less, or took another way, than one before', async () => {
    await back(NOW)
    const short = path.join(dir, 'short.db')
    made.db.pragma('wal_checkpoint(TRUNCATE)')
    copyFileSync(file, short)
    const before = await three()
    made.db.close()
    rmSync(file)
    renameSync(short, file)
    made = makeStorage(file)
    for (let n = 0; n < 5; n++) {
      const { unlike } = await back(later(72 + n))
      expect(unlike).toHaveLength(before.length - 1)
      expect(rotate(backups, 1, later(400))).toBe(0)
      for (let m = 0; m < 3; m++) work()
    }
    expect(names().slice(5)).toEqual(before)
  })

  it('removes none of a database without a trail’s entry', async () => {
    const before = await three()
    made.db.close()
    for (const end of ['', '-wal', '-shm']) rmSync(file + end, { force: true })
    made = makeStorage(file)
    await back(later(72))
    rotate(backups, 1, later(400))
    expect(names().slice(1)).toEqual(before)
  })

  it('leaves what was set aside, and the next number goes on from it', async () => {
    const before = await three()
    const folder = setAside(backups, listBackups(backups).slice(0, 2), NOW)
    expect(readdirSync(folder ?? '')).toHaveLength(4)
    expect(setAside(backups, [], NOW)).toBeNull()
    await back(later(72))
    rotate(backups, 1, later(400))
    expect(listSetAside(backups).map(one => path.basename(one.file))).toEqual(before.slice(0, 2))
    expect(listBackups(backups).map(({ seq }) => seq)).toEqual([4])
  })
})

describe('what a broken backup leaves', () => {
  it('goes once it is old, and nothing else does', async () => {
    await back(NOW)
    const left = [
      'fourfoot-000002-20260302T100000Z.db.123.part',
      'fourfoot-000002-20260302T100000Z.db.123.part-journal',
    ]
    for (const name of [...left, 'other.part']) {
      writeFileSync(path.join(backups, name), 'half')
      utimesSync(path.join(backups, name), NOW, NOW)
    }
    expect(sweepParts(backups, { before: NOW })).toBe(0)
    expect(sweepParts(backups, { pid: 12 })).toBe(0)
    expect(sweepParts(backups, { before: later(1) })).toBe(2)
    expect(readdirSync(backups)).toHaveLength(3)
  })
})

describe('a folder that can’t be used', () => {
  it('is said in one line, and is not an empty one', async () => {
    writeFileSync(backups, 'a file')
    expect(() => listBackups(backups)).toThrow(/^The backups’ folder .*backups can’t be used \(ENOTDIR\)\.$/)
    await expect(back(NOW)).rejects.toThrow(/can’t be used \(EEXIST\)/)
    rmSync(backups)
    expect(listBackups(backups)).toEqual([])
    mkdirSync(backups)
    expect(listBackups(backups)).toEqual([])
  })
})

describe('a damaged note', () => {
  it('keeps the backup in the list, and names it once it is to be used', async () => {
    const { file: backup } = await back(NOW)
    const note = backup.replace(/db$/, 'json')
    for (const [index, words] of ['', '{"at":', 'null', '{}', '[1]'].entries()) {
      writeFileSync(note, words)
      await expect(readNote(backup)).rejects.toThrow(/^The note .*01-20260302T090000Z\.json is damaged: "/)
      work()
      expect((await back(later(1 + index))).unlike).toEqual([])
      expect(listBackups(backups)).toHaveLength(2 + index)
    }
  })
})
