// The program as in a depot, with the small test knowledge, in a process of its own.

import { type ChildProcess, spawn } from 'node:child_process'
import { once } from 'node:events'
import { readFileSync } from 'node:fs'
import path from 'node:path'
import { createInterface } from 'node:readline'

const root = path.join(import.meta.dirname, '../..')
const { scripts } = JSON.parse(readFileSync(path.join(root, 'package.json'), 'utf8'))
/** What `npm start` gives Node. */
const asStarted: string[] = scripts.start.split(' ').slice(1)

/** Runs it on the data in `dir` behind a proxy while `use` works with its address, and ends it. */
export async function withProgram<T>(
  dir: string,
  use: (address: string, child: ChildProcess) => Promise<T>,
  more: Record<string, string> = {},
): Promise<T> {
  const child = spawn(process.execPath, asStarted, {
    cwd: root,
    env: {
      ...process.env,
      ...{ DATA_DIR: dir, KNOWLEDGE_DIR: 'tests/support/knowledge', PORT: '0', LOG_LEVEL: 'silent' },
      ...{ TRUST_PROXY: '1', COOKIE_SECURE: 'no', BACKUP_HOURS: '0' },
      ...more,
    },
    stdio: ['ignore', 'pipe', 'inherit'],
  })
  try {
    for await (const line of createInterface({ input: child.stdout })) {
      const address = /is at (http:\S+)$/.exec(line)?.[1]
      if (address) return await use(address, child)
    }
    throw new Error('The program did not start.')
  } finally {
    await end(child, 'SIGTERM')
  }
}

/** Ends it, unless it has ended. */
export async function end(child: ChildProcess, signal: 'SIGTERM' | 'SIGKILL'): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return
  const exited = once(child, 'exit')
  child.kill(signal)
  await exited
}
