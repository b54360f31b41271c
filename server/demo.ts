// The demo: a throw-away database with a made-up railway, and the main job on it.

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { announce, serveDemo } from './demo/serve.ts'
import { catchUncaught } from './ops/uncaught.ts'
import { closeOnSignal, explains } from './start.ts'

try {
  const dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-demo-'))
  process.on('exit', () => rmSync(dir, { recursive: true, force: true }))
  const running = await serveDemo(dir, process.env)
  closeOnSignal(running)
  catchUncaught(running.around)
  announce(running, 'Everything in it is made up, and it is gone when you stop it (Ctrl-C).')
} catch (error) {
  if (!explains(error)) throw error
  process.exitCode = 1
}
