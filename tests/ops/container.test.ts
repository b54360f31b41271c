// What the container holds: put together here in the same way, it must start and answer, and hold nothing else.

import { spawn } from 'node:child_process'
import { cpSync, existsSync, mkdirSync, mkdtempSync, rmSync, symlinkSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { expect, it } from 'vitest'
import { root, textOf } from '../repo/files.ts'

const containerfile = textOf('server/ops/Containerfile')
const stage = containerfile.slice(containerfile.lastIndexOf('\nFROM '))
const copied = [...stage.matchAll(/^COPY (?!--from)(\S+) \S+$/gm)].map(([, from = '']) => from)
const removed = (/^RUN rm -r (.*?) &&/m.exec(stage)?.[1] ?? '').split(' ')

it('the container has what the program needs to start and answer, and no demo, no tests and no history', async () => {
  const dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-container-'))
  const inside = path.join(dir, 'app')
  mkdirSync(inside)
  for (const one of copied) cpSync(path.join(root, one), path.join(inside, one), { recursive: true })
  for (const one of removed) rmSync(path.join(inside, one), { recursive: true })
  symlinkSync(path.join(root, 'node_modules'), path.join(inside, 'node_modules'))
  for (const absent of ['tests', '.git', 'server/demo', 'server/demo.ts', '.ci'])
    expect([absent, existsSync(path.join(inside, absent))]).toEqual([absent, false])
  const command: string[] = JSON.parse(/^CMD (.*)$/m.exec(stage)?.[1] ?? '[]')
  const child = spawn(process.execPath, command.slice(1), {
    cwd: inside,
    env: { PATH: process.env.PATH, PORT: '0', BACKUP_HOURS: '0', DATA_DIR: path.join(dir, 'data') },
  })
  const ended = new Promise(done => child.once('close', done))
  let said = ''
  for (const stream of [child.stdout, child.stderr])
    stream.on('data', text => {
      said += text
    })
  try {
    await expect.poll(() => said).toMatch(/is at http:\S+\n/)
    const health = await fetch(`${/is at (http:\S+)\n/.exec(said)?.[1]}/healthz`)
    expect([health.status, await health.json()]).toMatchObject([200, { ok: true }])
  } finally {
    child.kill('SIGTERM')
    await ended
    rmSync(dir, { recursive: true, force: true })
  }
})

it('the container runs as a user without rights', () => {
  expect(stage).toMatch(/^USER node$/m)
  expect(stage.indexOf('USER node')).toBeLessThan(stage.indexOf('\nCMD '))
})
