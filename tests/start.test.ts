import { type ChildProcess, spawn } from 'node:child_process'
import {
  cpSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import Sqlite from 'better-sqlite3'
import { afterAll, afterEach, beforeEach, describe, expect, it, vi } from 'vitest'

const root = path.join(import.meta.dirname, '..')
let dir: string
const running: Started[] = []
beforeEach(() => {
  dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-start-'))
})
afterEach(async () => {
  for (const { child, ended } of running.splice(0)) {
    child.kill('SIGKILL')
    await ended
  }
  rmSync(dir, { recursive: true, force: true })
})

interface Started {
  child: ChildProcess
  out: string
  error: string
  ended: Promise<number | null>
}

/** The program as `npm start` runs it, on a folder of its own. */
function start(env: Record<string, string>, ...args: string[]): Started {
  const child = spawn(process.execPath, ['--import', './server/require-node.js', 'server/main.ts', ...args], {
    cwd: root,
    env: {
      ...process.env,
      PORT: '0',
      DATA_DIR: path.join(dir, 'data'),
      KNOWLEDGE_DIR: 'tests/support/knowledge',
      LOG_LEVEL: 'warn',
      ...env,
    },
  })
  const started: Started = {
    child,
    out: '',
    error: '',
    // When it has also said all it had to say.
    ended: new Promise(done => child.on('close', code => done(code))),
  }
  child.stdout?.on('data', text => {
    started.out += text
  })
  child.stderr?.on('data', text => {
    started.error += text
  })
  running.push(started)
  return started
}

const address = (started: Started) => said(started, /is at (http:\S+)\n/)

/** Waits until the program has said it; what stands in the brackets. */
function said(started: Started, words: RegExp): Promise<string> {
  const found = () => words.exec(started.out)?.[1]
  return new Promise((resolve, reject) => {
    const look = () => {
      const text = found()
      if (text) resolve(text)
    }
    started.child.stdout?.on('data', look)
    started.ended.then(() => reject(new Error(`It ended: ${started.out}${started.error}`)))
    look()
  })
}

describe('npm start', () => {
  it('warns when it answers the network in plain http, and only then', async () => {
    const open = start({ HOST: '0.0.0.0' })
    await said(open, /"host":"0\.0\.0\.0".*(plain http: put a proxy that speaks TLS)/)
    const fine: Record<string, string>[] = [{ HOST: '127.0.0.1' }, { HOST: '0.0.0.0', TRUST_PROXY: '1' }]
    for (const env of fine) {
      const kept = start(env)
      await address(kept)
      expect(kept.out).not.toContain('plain http')
    }
  })

  it('stops at a bad setting with one line that names it and says what is allowed', async () => {
    const started = start({ PORT: 'many' })
    expect(await started.ended).toBe(1)
    expect(started.error.trim().split('\n')).toHaveLength(1)
    expect(started.error).toContain('PORT')
    expect(started.error).toContain('65535')
  })

  it('prints a one-time code at the first start, with which the first engineer’s account is made', async () => {
    const started = start({})
    const base = await address(started)
    const code = await said(started, /with the code (\S+)\n/)
    const form = (fields: Record<string, string>) =>
      fetch(`${base}/setup`, {
        method: 'POST',
        redirect: 'manual',
        headers: { origin: base },
        body: new URLSearchParams({
          name: 'Isla Verrin',
          pin: '2580',
          password: 'hedge gate lantern',
          ...fields,
        }),
      })
    expect((await form({ code: 'wrong-wrong' })).status).toBe(400)
    const made = await form({ code })
    expect([made.status, made.headers.get('location')]).toEqual([303, '/first-steps'])
    expect((await form({ code })).status).toBe(409)
    started.child.kill('SIGTERM')
    expect(await started.ended).toBe(0)
  })

  it('answers /healthz, and closes the database on SIGTERM', async () => {
    const started = start({})
    const health = await (await fetch(`${await address(started)}/healthz`)).json()
    expect(health).toMatchObject({ ok: true, database: 'answering' })
    started.child.kill('SIGTERM')
    expect(await started.ended).toBe(0)
    const db = new Sqlite(path.join(dir, 'data/fourfoot.db'), { readonly: true })
    expect(db.pragma('integrity_check', { simple: true })).toBe('ok')
    db.close()
  })

  it('refuses a database newer than the program, and leaves it as it was', async () => {
    const first = start({})
    await address(first)
    first.child.kill('SIGTERM')
    await first.ended
    const file = path.join(dir, 'data/fourfoot.db')
    const db = new Sqlite(file)
    db.prepare(
      "INSERT INTO migrations SELECT 9999, '9999-later.sql', sha256, applied_at FROM migrations LIMIT 1",
    ).run()
    db.pragma('wal_checkpoint(TRUNCATE)')
    db.close()
    const before = readFileSync(file)
    const second = start({})
    expect(await second.ended).toBe(1)
    expect(second.error.trim().split('\n')).toHaveLength(1)
    expect(readFileSync(file).equals(before)).toBe(true)
  })

  it('refuses a folder with errors while no edition is in use, and keeps the edition it had otherwise', async () => {
    const knowledge = path.join(dir, 'knowledge')
    cpSync(path.join(root, 'tests/support/knowledge'), knowledge, { recursive: true })
    const tree = path.join(knowledge, 'trees/dead.md')
    const good = readFileSync(tree, 'utf8')
    writeFileSync(tree, good.replace('[Loop resistance](#loop-resistance)', '[Loop resistance](#nowhere)'))
    const refused = start({ KNOWLEDGE_DIR: knowledge })
    expect(await refused.ended).toBe(1)
    expect(refused.error).toContain('link-target-unknown')
    writeFileSync(tree, good)
    const first = start({ KNOWLEDGE_DIR: knowledge })
    const edition = (await (await fetch(`${await address(first)}/healthz`)).json()).edition
    first.child.kill('SIGTERM')
    await first.ended
    writeFileSync(tree, good.replace('[Loop resistance](#loop-resistance)', '[Loop resistance](#nowhere)'))
    const second = start({ KNOWLEDGE_DIR: knowledge })
    expect((await (await fetch(`${await address(second)}/healthz`)).json()).edition).toBe(edition)
    second.child.kill('SIGTERM')
    await second.ended
  })
})

let once: string | null = null
afterAll(() => {
  if (once) rmSync(once, { recursive: true })
})

/** What a first start leaves that was ended once its first backup was made. */
async function startOnce(): Promise<void> {
  if (once) return void cpSync(once, data(), { recursive: true })
  const first = start({})
  await address(first)
  await vi.waitFor(() => expect(backupsIn()).toHaveLength(1), 60_000)
  first.child.kill('SIGTERM')
  await first.ended
  once = mkdtempSync(path.join(tmpdir(), 'fourfoot-started-'))
  cpSync(data(), once, { recursive: true })
}

const data = (...names: string[]) => path.join(dir, 'data', ...names)
const backupsIn = () => readdirSync(data('backups')).filter(name => name.endsWith('.db'))

describe('npm start where there was a database', () => {
  it.each<[string, () => void]>([
    ['is none any more', () => rmSync(data('fourfoot.db'))],
    ['is an empty file now', () => writeFileSync(data('fourfoot.db'), '')],
    [
      'is only what a restore left half way',
      () => {
        rmSync(data('backups'), { recursive: true })
        renameSync(data('fourfoot.db'), data('fourfoot.db.before-20260302T090000Z'))
      },
    ],
    [
      'is only the copy for a restore',
      () => {
        rmSync(data('backups'), { recursive: true })
        renameSync(data('fourfoot.db'), data('fourfoot.db.part'))
      },
    ],
    [
      'are only backups that were set aside',
      () => {
        rmSync(data('fourfoot.db'))
        mkdirSync(data('backups', 'before-20260302T090000Z'))
        for (const name of readdirSync(data('backups')).filter(name => /\.(db|json)$/.test(name)))
          renameSync(data('backups', name), data('backups', 'before-20260302T090000Z', name))
      },
    ],
    [
      'is only a backup that broke off',
      () => {
        const [name = ''] = backupsIn()
        renameSync(data('backups', name), data('backups', `${name}.123.part`))
        rmSync(data('backups', name.replace(/db$/, 'json')))
        rmSync(data('fourfoot.db'))
      },
    ],
  ])('and %s, refuses in one line that says what to do, and changes nothing', async (_, spoil) => {
    await startOnce()
    spoil()
    const before = readdirSync(data(), { recursive: true }).sort()
    const again = start({ BACKUP_KEEP: '1' })
    expect(await again.ended).toBe(1)
    expect(again.error.trim().split('\n')).toHaveLength(1)
    expect(again.error).toMatch(/but there was one: .*npm run restore.*npm start -- --fresh/)
    expect(readdirSync(data(), { recursive: true }).sort()).toEqual(before)
  })

  it('begins a new one when asked to, and keeps all that was left', async () => {
    await startOnce()
    const backups = backupsIn()
    rmSync(data('fourfoot.db'))
    writeFileSync(data('fourfoot.db.part'), 'half')
    const fresh = start({}, '--fresh')
    await said(fresh, /with the code (\S+)\n/)
    const aside = /The backups are kept in (.*)\.\n/.exec(fresh.out)?.[1] ?? ''
    expect(readdirSync(aside)).toEqual(expect.arrayContaining(backups))
    expect(fresh.out).toMatch(/fourfoot\.db\.part is kept as .*\.part\.before-/)
    fresh.child.kill('SIGTERM')
    expect(await fresh.ended).toBe(0)
    const refused = start({}, '--fresh')
    expect(await refused.ended).toBe(1)
    expect(refused.error).toMatch(/There is a database .*Move it away first/)
    const usual = start({})
    await address(usual)
  })

  it('runs on without its backups’ folder, says so to engineers only, and stays', async () => {
    await startOnce()
    rmSync(data('backups'), { recursive: true })
    writeFileSync(data('backups'), 'a file in its place')
    const started = start({})
    const health = await (await fetch(`${await address(started)}/healthz`)).json()
    expect(health).toMatchObject({
      ok: true,
      database: 'answering',
      backup: { newestAt: null, failed: true },
    })
    expect(JSON.stringify(health)).not.toMatch(/ENOTDIR|backups’/)
    await said(started, /(backups are in trouble)/)
    expect(started.child.exitCode).toBeNull()
  })

  it('notices that its file was replaced, says so in /healthz, and saves what it has', async () => {
    const started = start({})
    const base = await address(started)
    await vi.waitFor(() => expect(backupsIn()).toHaveLength(1), 60_000)
    cpSync(data('fourfoot.db'), data('copy.db'))
    renameSync(data('copy.db'), data('fourfoot.db'))
    const health = await fetch(`${base}/healthz`)
    expect([health.status, await health.json()]).toEqual([
      503,
      expect.objectContaining({ ok: false, database: 'not recording' }),
    ])
    await vi.waitFor(() => expect(backupsIn()).toHaveLength(2), 60_000)
  })
})

describe('npm start with an address or a folder that won’t do', () => {
  it.each<[string, Record<string, string>, RegExp]>([
    ['an address of another machine', { HOST: '192.0.2.1' }, /^HOST is no address of this machine/],
    ['a name there isn’t', { HOST: 'no-such-host.invalid' }, /^HOST is no address of this machine/],
    [
      'a file in the place of the data',
      { DATA_DIR: path.join(root, 'package.json') },
      /^DATA_DIR can’t be made/,
    ],
    ['a folder below a file', { DATA_DIR: path.join(root, 'package.json', 'x') }, /^DATA_DIR can’t be made/],
  ])('says so in one line: %s', async (_, env, words) => {
    const started = start(env)
    expect(await started.ended).toBe(1)
    expect(started.error).toMatch(words)
    expect(started.error.trim().split('\n')).toHaveLength(1)
  })
})
