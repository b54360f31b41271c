// Starts and stops the processes of a measurement.

import { type ChildProcess, spawn } from 'node:child_process'
import { once } from 'node:events'
import { readFileSync } from 'node:fs'
import path from 'node:path'
import { createInterface } from 'node:readline'
import { text } from 'node:stream/consumers'
import type { Load, Measured } from './load.ts'

export interface Served {
  address: string
  /** From the first line of the program until it listened, milliseconds. */
  startMs: number
  /** Bytes, and milliseconds of processor time since the start. */
  usage(): Promise<{ rss: number; heapUsed: number; cpuMs: number }>
  stop(): Promise<void>
}

export async function serve(script: 'serve.ts' | 'peer.ts', ...args: string[]): Promise<Served> {
  const child = start(script, args)
  const lines = createInterface({ input: child.stdout ?? process.stdin })[Symbol.asyncIterator]()
  const next = async () => JSON.parse((await lines.next()).value ?? '{}')
  const { address, ms } = await next()
  if (!address) throw new Error(`${script} did not start`)
  return {
    address,
    startMs: ms,
    usage: async () => {
      child.stdin?.write('\n')
      return next()
    },
    stop: async () => {
      child.kill('SIGKILL')
      await once(child, 'close')
    },
  }
}

export async function load(asked: Load): Promise<Measured> {
  const child = start('load.ts', [])
  child.stdin?.end(JSON.stringify(asked))
  const said = await text(child.stdout ?? process.stdin)
  return JSON.parse(said) as Measured
}

const root = path.join(import.meta.dirname, '../../..')
const { scripts } = JSON.parse(readFileSync(path.join(root, 'package.json'), 'utf8'))
/** What `npm start` gives Node before the program. */
const asStarted: string[] = scripts.start.split(' ').slice(1, -1)

function start(script: string, args: string[]): ChildProcess {
  const file = path.join(import.meta.dirname, script)
  return spawn(process.execPath, ['--expose-gc', ...asStarted, file, ...args], {
    cwd: root,
    stdio: ['pipe', 'pipe', 'inherit'],
  })
}
