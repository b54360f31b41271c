import { spawn } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { openPlain } from '../../server/storage/engine/database.ts'
import { textOf } from '../repo/files.ts'

const root = path.join(import.meta.dirname, '../..')
let dir: string
beforeAll(() => {
  dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-dev-'))
})
afterAll(() => rmSync(dir, { recursive: true, force: true }))

/** Starts it, waits until it answers, and ends it; gives the hash of the trail's first entry that tells of a person. */
async function runOnce(...args: string[]): Promise<string> {
  const child = spawn(process.execPath, ['server/dev.ts', ...args], {
    cwd: root,
    env: { ...process.env, DATA_DIR: dir, PORT: '0', KNOWLEDGE_DIR: 'tests/support/knowledge' },
  })
  const ended = new Promise(done => child.on('close', done))
  let error = ''
  child.stderr.on('data', text => {
    error += text
  })
  await new Promise<void>((resolve, reject) => {
    child.stdout.on('data', text => /restart it/.test(String(text)) && resolve())
    child.on('close', () => reject(new Error(error)))
  })
  child.kill('SIGTERM')
  await ended
  const db = openPlain(path.join(dir, 'demo.db'), { readonly: true })
  const hash = db
    .prepare("SELECT hash FROM trail WHERE subject = 'people' ORDER BY seq LIMIT 1")
    .pluck()
    .get()
  db.close()
  return String(hash)
}

it('the database of npm run dev survives restarts, and is made anew once where that is asked for', async () => {
  const first = await runOnce()
  expect(await runOnce()).toBe(first)
  const fresh = await runOnce('--fresh')
  expect(fresh).not.toBe(first)
  // The same watching process starts it again, with the same words.
  expect(await runOnce('--fresh')).toBe(fresh)
})

it('npm run dev watches server, views and knowledge, and git does not see its database', () => {
  const { scripts } = JSON.parse(textOf('package.json')) as { scripts: Record<string, string> }
  for (const folder of ['server', 'views', 'knowledge'])
    expect(scripts.dev?.split(' ')).toContain(`--watch-path=${folder}`)
  expect(textOf('.gitignore').split('\n')).toContain('data/')
})
