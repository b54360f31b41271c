// `npm run dev`: the demo for the people who work on the program. Node restarts it when a file of server/, views/ or
// knowledge/ changes. Its database, in data/dev, survives restarts; with `-- --fresh` it is made anew once.

import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import path from 'node:path'
import { parseArgs } from 'node:util'
import { announce, serveDemo } from './demo/serve.ts'
import { closeOnSignal, explains, root } from './start.ts'

const { values } = parseArgs({ options: { fresh: { type: 'boolean', default: false } } })
const dir = process.env.DATA_DIR ?? path.join(root, 'data', 'dev')

try {
  if (values.fresh) removeOnce(dir)
  mkdirSync(dir, { recursive: true })
  const running = await serveDemo(dir, process.env)
  closeOnSignal(running)
  announce(running, `Its database stays in ${dir}. Changed files restart it.`)
} catch (error) {
  if (!explains(error)) throw error
  process.exitCode = 1
}

/** Node starts this program again and again from one watching process: the first time of each removes the database. */
function removeOnce(dir: string): void {
  const watcher = String(process.ppid)
  const marker = path.join(dir, 'made-for-watcher')
  if (existsSync(marker) && readFileSync(marker, 'utf8') === watcher) return
  rmSync(dir, { recursive: true, force: true })
  mkdirSync(dir, { recursive: true })
  writeFileSync(marker, watcher)
}
