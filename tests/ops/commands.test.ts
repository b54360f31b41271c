import { spawnSync } from 'node:child_process'
import { chownSync, mkdirSync, mkdtempSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { serviceSettings, unitOf } from '../../server/ops/service-settings.ts'
import { savePhotoFile } from '../../server/storage/safekeeping/photo-files.ts'
import { makeFault, makeStorage, mine, reading } from '../storage/make.ts'
import { jpeg } from '../support/pictures.ts'

const root = path.resolve('.')
const OTHER = 65_534 // who owns nothing, on every Linux
const isRoot = process.getuid?.() === 0
let dir: string
let unit: string
beforeEach(() => {
  // Another user must get there, which the tests' own folder does not allow.
  dir = mkdtempSync(path.join(isRoot ? '/tmp' : tmpdir(), 'fourfoot-commands-'))
  mkdirSync(path.join(dir, 'tmp'))
  unit = path.join(dir, 'fourfoot.service')
  const lines = [
    '[Unit]',
    'Environment=DATA_DIR=/nowhere',
    '[Service]',
    `WorkingDirectory=${root}`,
    `EnvironmentFile=-${path.join(dir, 'fourfoot.env')}`,
    `EnvironmentFile=-${path.join(dir, 'none.env')}`,
    `Environment=DATA_DIR=${path.join(dir, 'data')} "TIME_ZONE=Europe/London"`,
    '[Install]',
    'Environment=BACKUP_KEEP=1',
  ]
  writeFileSync(unit, `${lines.join('\n')}\n`)
  writeFileSync(path.join(dir, 'fourfoot.env'), '# ours\nBACKUP_DIR="../copies"\nTIME_ZONE=UTC\n')
})
afterEach(() => rmSync(dir, { recursive: true }))

describe('the service’s settings', () => {
  it('are those of its unit, and over them those of its files', () => {
    const data = path.join(dir, 'data')
    expect(serviceSettings(unit)).toEqual({ DATA_DIR: data, BACKUP_DIR: '../copies', TIME_ZONE: 'UTC' })
  })

  it('of the unit in the repository name its data and are read from the documented file', () => {
    const settings = serviceSettings('server/ops/fourfoot.service')
    expect(settings.DATA_DIR).toBe('/var/lib/fourfoot')
  })

  it('are looked for only where the unit runs this very program', () => {
    expect(unitOf(root, unit)).toBe(unit)
    expect(unitOf('/opt/other', unit)).toBeNull()
    expect(unitOf(root, path.join(dir, 'none'))).toBeNull()
  })
})

/** A database with a picture in the folder that the unit names. */
function makeData(): void {
  const data = path.join(dir, 'data')
  mkdirSync(data)
  const { storage, db } = makeFault(path.join(data, 'fourfoot.db'))
  storage.findings.add(reading)
  const sha256 = savePhotoFile(data, jpeg)
  const file = { sha256, bytes: jpeg.length, type: 'image/jpeg' as const }
  storage.photos.add({ ...mine, ...file, id: 'clip', words: null, findingId: 'reading', reportId: null })
  db.close()
}

function run(script: string, args: string[] = [], as: { uid: number; gid: number } | null = null) {
  const { DATA_DIR: _data, BACKUP_DIR: _backups, ...env } = process.env
  const command = [path.join(root, `server/ops/${script}.ts`), '--unit', unit, ...args]
  const { status, stdout, stderr } = spawnSync(process.execPath, command, {
    cwd: root,
    env: { ...env, TMPDIR: path.join(dir, 'tmp') },
    ...as,
  })
  return { code: status, out: String(stdout), err: String(stderr) }
}

const filesBelow = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' }).map(name => path.join(folder, name))

/** Gives everything in the test's folder to another user, as a service's data are. */
function giveAway(): void {
  for (const place of [dir, ...filesBelow(dir)]) chownSync(place, OTHER, OTHER)
}

/** Backup, loss, restore, verify, by the commands as they are documented. */
function drill(as: { uid: number; gid: number } | null): void {
  const database = path.join(dir, 'data', 'fourfoot.db')
  expect(run('backup', [], as)).toMatchObject({ code: 0, err: '' })
  for (const end of ['', '-wal', '-shm']) rmSync(database + end, { force: true })
  rmSync(path.join(dir, 'data', 'photos'), { recursive: true })
  expect(run('restore', [], as)).toMatchObject({ code: 0, err: '', out: expect.stringContaining(database) })
  expect(run('verify', [], as)).toMatchObject({
    code: 0,
    err: '',
    out: expect.stringMatching(/the one backup/),
  })
  const again = makeStorage(database)
  expect(again.storage.faults.get('fault').findings).toHaveLength(1)
  again.db.close()
  expect(readdirSync(path.join(dir, 'copies'))).toHaveLength(4)
}

describe('a restore drill', () => {
  it('finds the service’s folders by itself, and everything is its user’s afterwards', () => {
    makeData()
    if (isRoot) giveAway()
    drill(null)
    const owner = isRoot ? OTHER : process.getuid?.()
    for (const place of filesBelow(dir)) expect([place, statSync(place).uid]).toEqual([place, owner])
  })

  // As root: another user's process. Who is not root is that other user already, and the drill above was theirs.
  it.runIf(isRoot)('works as a user without rights', context => {
    makeData()
    giveAway()
    const as = { uid: OTHER, gid: OTHER }
    const readable = spawnSync(
      process.execPath,
      ['-e', `require('fs').readdirSync(${JSON.stringify(root)})`],
      as,
    )
    if (readable.status !== 0) {
      console.warn(`NOT RUN: user ${OTHER} can't read ${root}`)
      return context.skip()
    }
    drill(as)
  })
})

describe('a command', () => {
  it('prefers what its own environment says, and says in one line what stops it', () => {
    const env = { ...process.env, DATA_DIR: path.join(dir, 'empty'), BACKUP_DIR: 'none' }
    const of = (script: string, ...args: string[]) => {
      const { status, stderr } = spawnSync(
        process.execPath,
        [`server/ops/${script}.ts`, '--unit', unit, ...args],
        { env },
      )
      return { code: status, err: String(stderr) }
    }
    const line = (words: RegExp) => ({ code: 1, err: expect.stringMatching(words) })
    expect(of('backup')).toEqual(line(/^There is no database at .*empty.*\n$/))
    expect(of('restore')).toEqual(line(/^There is no backup in .*none\.\n$/))
    expect(of('restore', 'nowhere.db')).toEqual(line(/^There is no backup nowhere\.db\.\n$/))
    expect(of('verify', '--what')).toEqual(line(/^Unknown option '--what'.*\n$/))
    rmSync(unit)
    expect(of('verify')).toEqual(line(/^The service’s settings in .* can’t be read \(ENOENT\).*\n$/))
  })
})
