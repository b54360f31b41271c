// The second machine's drill: the program is killed among its writes, and the copy that followed is put in use by the
// commands of server/ops/README.md.

import { spawn, spawnSync } from 'node:child_process'
import { once } from 'node:events'
import { mkdirSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { openPlain } from '../../server/storage/engine/database.ts'
import { listBackups } from '../../server/storage/safekeeping/backup-folder.ts'
import { textOf } from '../repo/files.ts'
import type { Acknowledged } from '../storage/engine/kill-writer.ts'
import { makeRailway } from '../storage/make.ts'

let dir: string
let copies: string
beforeEach(() => {
  dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-follow-'))
  copies = path.join(dir, 'second', 'copies')
  for (const machine of ['first', 'second']) mkdirSync(path.join(dir, machine))
})
afterEach(() => rmSync(dir, { recursive: true, maxRetries: 5 }))

const database = (machine: string) => path.join(dir, machine, 'data', 'fourfoot.db')

function settings(machine: string) {
  const backups = machine === 'second' ? copies : path.join(dir, machine, 'backups')
  return { ...process.env, DATA_DIR: path.dirname(database(machine)), BACKUP_DIR: backups }
}

function follow(everyMinutes: number) {
  const args = ['server/ops/follow.ts', copies, '--every', String(everyMinutes), '--unit=']
  const child = spawn(process.execPath, args, { env: settings('first') })
  child.stdout.resume()
  return child
}

function command(machine: string, script: string, ...args: string[]) {
  const run = [`server/ops/${script}.ts`, '--unit=', ...args]
  const { status, stdout, stderr } = spawnSync(process.execPath, run, { env: settings(machine) })
  return { code: status, out: String(stdout), err: String(stderr) }
}

async function until(holds: () => boolean): Promise<void> {
  while (!holds()) await pause(50)
}

interface Said extends Acknowledged {
  /** UTC ms, when this process heard of it. */
  heard: number
}

/** Writes as the web does; what it acknowledged is added to `said`. */
function write(said: Said[]) {
  const child = spawn(process.execPath, ['tests/storage/engine/kill-writer.ts', database('first')])
  let rest = ''
  child.stdout.on('data', chunk => {
    const lines = (rest + chunk).split('\n')
    rest = lines.pop() ?? ''
    said.push(...lines.map(line => ({ ...(JSON.parse(line) as Acknowledged), heard: Date.now() })))
  })
  return child
}

const tables = {
  ...{ fault: 'faults', attendance: 'attendances', finding: 'findings' },
  ...{ repair: 'repairs', closure: 'closures' },
} as const

/** What the second machine's database lacks of what the first had acknowledged. */
function lost(said: Said[]): Said[] {
  const db = openPlain(database('second'), { readonly: true })
  try {
    const has = (table: string, id: string) =>
      db.prepare(`SELECT 1 FROM ${table} WHERE ${table === 'closures' ? 'fault_id' : 'id'} = ?`).get(id)
    return said.filter(({ kind, id, faultId }) => !has(tables[kind], kind === 'closure' ? faultId : id))
  } finally {
    db.close()
  }
}

describe('a copy that follows', () => {
  it('is put in use when the first machine is lost, and lacks only what was written since it was begun', async () => {
    mkdirSync(path.dirname(database('first')))
    makeRailway(database('first')).db.close()
    const said: Said[] = []
    const [writer, follower] = [write(said), follow(0.005)]
    await until(() => (listBackups(copies)[0]?.seq ?? 0) >= 3)
    const ends = [once(writer, 'close'), once(follower, 'close')]
    for (const child of [writer, follower]) child.kill('SIGKILL')
    await Promise.all(ends)
    const newest = listBackups(copies)[0]

    expect(command('second', 'restore', '--rehearse')).toMatchObject({ code: 0, err: '' })
    expect(command('second', 'restore')).toMatchObject({ code: 0, err: '' })
    expect(command('second', 'verify')).toMatchObject({ code: 0, err: '' })
    const gone = lost(said)
    expect(said.length - gone.length).toBeGreaterThan(0)
    expect(gone.filter(({ heard }) => heard < Date.parse(newest?.at ?? ''))).toEqual([])
    expect(said.slice(said.length - gone.length)).toEqual(gone)
  })

  it('keeps two, makes none where nothing was written, and goes on after a failure', async () => {
    const follower = follow(0.002)
    let failed = ''
    follower.stderr.on('data', chunk => {
      failed += chunk
    })
    await until(() => failed.includes('There is no database at'))
    mkdirSync(path.dirname(database('first')))
    const { storage, db } = makeRailway(database('first'))
    const newest = () => listBackups(copies)[0]?.seq ?? 0
    for (const seq of [1, 2, 3]) {
      await until(() => newest() >= seq)
      const site = { name: `More ${seq}`, line: 'Main', mileage: `${seq} m`, access: 'gate' }
      storage.sites.create({ id: `more ${seq}`, ...site })
    }
    await until(() => newest() >= 4 && listBackups(copies).length === 2)
    const last = newest()
    await pause(600)
    expect(newest()).toBe(last)
    follower.kill('SIGTERM')
    expect(await once(follower, 'close')).toEqual([0, null])
    db.close()
  })

  it('says in one line what it needs', () => {
    const say = (...args: string[]) => command('first', 'follow', ...args)
    expect(say()).toMatchObject({ code: 1, err: expect.stringMatching(/^Say where the copy is to lie.*\n$/) })
    expect(say(copies, '--every', 'soon').err).toMatch(/^--every takes a number of minutes/)
    expect(say(path.join(dir, 'first', 'backups')).err).toMatch(/needs a folder of its own/)
  })

  it('is documented with the very commands of the drill', () => {
    const manual = textOf('server/ops/README.md')
    for (const line of ['npm run follow --', 'npm run restore -- --rehearse', 'npm run verify'])
      expect(manual).toContain(line)
  })
})
