// Two depots joined: the rows of both, named by their depot, and a program on them that takes nothing in.

import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { openPlain } from '../../server/storage/engine/database.ts'
import { readMigrations } from '../../server/storage/engine/migration-files.ts'
import { backUp } from '../../server/storage/safekeeping/backup.ts'
import { joinBackups } from '../../server/storage/safekeeping/join.ts'
import { makeFault, mine, reading } from '../storage/make.ts'

const migrations = readMigrations('migrations')
const now = new Date('2027-01-01T00:00:00Z')
let dir: string
beforeEach(() => {
  dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-join-test-'))
})
afterEach(() => rmSync(dir, { recursive: true, maxRetries: 5 }))

/** A depot's backup, with one closed fault; every depot of these has the same ids. */
async function backupOf(depot: string): Promise<string> {
  const data = path.join(dir, depot)
  mkdirSync(data)
  const { storage, db } = makeFault(path.join(data, 'fourfoot.db'))
  storage.findings.add(reading)
  const closure = {
    outcome: 'proven cause' as const,
    cause: 'a/b',
    clearedItself: false,
    changed: '',
    words: '',
  }
  const signature = { id: 'signature', printedName: 'Ada Wren', meaning: 'done' }
  storage.closures.add({ ...mine, id: 'closure', ...closure }, signature)
  const { file } = await backUp(db, data, path.join(dir, `${depot} backups`), now)
  db.close()
  return file
}

async function joined(): Promise<string> {
  const target = path.join(dir, 'joined.db')
  const backups = [
    { depot: 'North', file: await backupOf('North') },
    { depot: 'South', file: await backupOf('South') },
  ]
  const before = backups.map(({ file }) => readFileSync(file))
  expect(await joinBackups(backups, target, migrations, now)).toEqual([
    { depot: 'North', positions: expect.any(Number), faults: 1 },
    { depot: 'South', positions: expect.any(Number), faults: 1 },
  ])
  expect(backups.map(({ file }) => readFileSync(file))).toEqual(before)
  return target
}

describe('backups joined', () => {
  it('hold every depot’s rows, whole, and named by their depot', async () => {
    const db = openPlain(await joined(), { readonly: true })
    const list = (sql: string) => db.prepare<[], string>(sql).pluck().all()
    expect(list('SELECT name FROM sites ORDER BY name').slice(0, 2)).toEqual([
      'Alderwick Bank (North)',
      'Alderwick Bank (South)',
    ])
    expect(list('SELECT id FROM faults ORDER BY id')).toEqual(['1.fault', '2.fault'])
    expect(list('SELECT fault_id FROM findings ORDER BY id')).toEqual(['1.fault', '2.fault'])
    expect(list('SELECT fault_id FROM closures ORDER BY id')).toEqual(['1.fault', '2.fault'])
    expect(db.pragma('foreign_key_check')).toEqual([])
    db.close()
  })

  it('hold no secret and nobody who could sign in, and keep their triggers', async () => {
    const db = openPlain(await joined(), { readonly: true })
    const one = (sql: string) => db.prepare<[], number>(sql).pluck().get()
    expect(one("SELECT count(*) FROM people WHERE active = 1 OR pin_hash <> '' OR password_hash <> ''")).toBe(
      0,
    )
    expect(one('SELECT count(*) FROM sessions') ?? 0).toBe(0)
    expect(one("SELECT count(*) FROM sqlite_schema WHERE type = 'trigger'")).toBeGreaterThan(20)
    db.close()
  })

  it('must be backups, each with a name of its own', async () => {
    const file = await backupOf('North')
    const target = path.join(dir, 'joined.db')
    const twice = [
      { depot: 'North', file },
      { depot: 'North', file },
    ]
    await expect(joinBackups(twice, target, migrations, now)).rejects.toThrow(
      'Two of the files are called North',
    )
    const other = path.join(dir, 'North', 'fourfoot.db')
    await expect(joinBackups([{ depot: 'x', file: other }], target, migrations, now)).rejects.toThrow(
      /no note/,
    )
  })
})

/** An address of the joined program, as somebody who made an account with the printed code. */
async function lookAt(said: string) {
  const [, address = '', code = ''] = /(http:\/\/\S+)\/setup with the code (\S+)/.exec(said) ?? []
  const headers: Record<string, string> = { 'Sec-Fetch-Site': 'same-origin' }
  const send = (to: string, form: Record<string, string>) =>
    fetch(address + to, { method: 'POST', headers, redirect: 'manual', body: new URLSearchParams(form) })
  const own = { name: 'Reader', pin: '482915', password: 'a long word to look with' }
  const made = await send('/setup', { code, ...own })
  const signedIn = await send('/sign-in', { name: own.name, pin: own.pin })
  const cookies = signedIn.headers.getSetCookie().map(cookie => cookie.split(';')[0])
  headers.Cookie = cookies.filter(cookie => !cookie?.endsWith('=')).join('; ')
  const page = (to: string) => fetch(address + to, { headers })
  return { made, send, page }
}

describe('npm run join', () => {
  it('shows the review pages over all depots, and takes nothing in', async () => {
    const files = [await backupOf('North'), await backupOf('South')]
    const child = spawn(
      process.execPath,
      ['server/ops/join.ts', '--unit=', `North=${files[0]}`, `South=${files[1]}`],
      {
        env: {
          ...process.env,
          PORT: '0',
          LOG_LEVEL: 'warn',
          DATA_DIR: dir,
          KNOWLEDGE_DIR: 'tests/support/knowledge',
        },
      },
    )
    let said = ''
    for (const stream of [child.stdout, child.stderr])
      stream.on('data', chunk => {
        said += chunk
      })
    while (!said.includes('Ctrl-C ends it') && child.exitCode === null) await pause(50)
    expect(said).toContain('North: ')
    const { made, send, page } = await lookAt(said)
    expect(made.status).toBe(303)
    const review = await page('/review')
    expect(review.status).toBe(200)
    expect(await review.text()).toContain('Several depots’ backups, to look at.')
    expect(await (await page('/sites')).text()).toMatch(/\(North\)[\s\S]*\(South\)/)
    const refused = await send('/positions', { name: 'x' })
    expect([refused.status, await refused.text()]).toEqual([403, expect.stringContaining('only to look at')])
    child.kill('SIGTERM')
    expect(await once(child, 'close')).toEqual([0, null])
  })
})
