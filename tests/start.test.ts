import { type ChildProcess, spawn } from 'node:child_process'
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import Sqlite from 'better-sqlite3'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'

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
function start(env: Record<string, string>): Started {
  const child = spawn(process.execPath, ['--import', './server/require-node.js', 'server/main.ts'], {
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
    expect([made.status, made.headers.get('location')]).toEqual([303, '/tablets'])
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
