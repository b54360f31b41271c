// The demo: a throw-away database with a made-up railway, and the main job on it.

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { readConfig } from './config.ts'
import { loadDemo } from './demo/load.ts'
import { demoPeople } from './demo/railway/people.ts'
import { closeOnSignal, explains, type Running, run } from './start.ts'

const notice = 'Demo: this railway, its people and its limits are made up. Never use it on a real one.'

try {
  const dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-demo-'))
  process.on('exit', () => rmSync(dir, { recursive: true, force: true }))
  const config = readConfig({ LOG_LEVEL: 'warn', ...process.env })
  const running = await run({ ...config, dataDir: dir }, path.join(dir, 'demo.db'), {
    demoNotice: notice,
    prepare: async (storage, library) => {
      const { knowledge, id } = library.current()
      await loadDemo(storage, knowledge, id, { seed: 1, now: new Date() })
    },
  })
  tell(running)
  closeOnSignal(running)
} catch (error) {
  if (!explains(error)) throw error
  process.exitCode = 1
}

function tell({ address }: Running): void {
  console.log(`Fourfoot’s demo is at ${address}`)
  console.log('Sign in as:')
  for (const { name, role, pin } of demoPeople)
    console.log(`  ${name.padEnd(20)} ${role.padEnd(12)} PIN ${pin}`)
  console.log('Everything in it is made up, and it is gone when you stop it (Ctrl-C).')
}
