// Files are taken apart in a child process, one after another: what a hostile one exhausts is the child's, which may die
// without the program. (A thread's heap limit ends the whole process.)
//
// What it all takes, under the 600 MB that the service's unit allows (measured on Node 24):
//   the child: at most 128 MB of heap, 40 MB unpacked, the same packed anew and read again, Node itself: 270 MB
//   files on their way in (middleware/uploads.ts): 40 MB
//   tables waiting for an engineer's answers (import-uploads.ts): 80 MB
//   the program itself: some 200 MB

import { type ChildProcess, fork } from 'node:child_process'
import { writeFile } from 'node:fs'
import { fileURLToPath } from 'node:url'
import type { Answer } from './read-child.ts'
import { limits, type ReadOptions, Refused, type Row, type Table } from './table.ts'

const reader = fileURLToPath(new URL('./read-child.ts', import.meta.url))
const heap = ['--max-old-space-size=128', '--max-semi-space-size=4']
/** Files that may wait behind the one that is being read. */
const mostWaiting = 4
const idleMs = 30_000

/** Reused for the next file while it idles; ends then, so that its memory is given back. */
let idle: ChildProcess | null = null
let reading: Promise<unknown> = Promise.resolve()
let waiting = 0

/**
 * readTable in a child process that is stopped when it takes too long or too much. Files are read one at a time: a file
 * waits for its turn, and is refused when too many wait already. Throws Refused.
 */
export async function readApart(
  bytes: Uint8Array,
  options: ReadOptions = {},
  { seconds = limits.seconds } = {},
): Promise<Table> {
  if (waiting > mostWaiting)
    throw new Refused(`${waiting} other files are being read. Wait a minute, and send it again.`)
  waiting += 1
  const turn = reading.then(() => readInChild(bytes, options, seconds))
  reading = turn.catch(() => {})
  try {
    return await turn
  } finally {
    waiting -= 1
  }
}

function readInChild(bytes: Uint8Array, options: ReadOptions, seconds: number): Promise<Table> {
  const child = takeChild()
  return new Promise((resolve, reject) => {
    const rows: Row[] = []
    const timer = setTimeout(() => stop(`The file was not read within ${seconds} seconds.`), seconds * 1000)
    const answered = (answer: Answer) => {
      if ('rows' in answer) {
        rows.push(...answer.rows)
        // When other requests have had their turn.
        return void setImmediate(() => child.connected && child.send('next', () => {}))
      }
      letGo()
      giveBack(child)
      if ('table' in answer) resolve({ ...answer.table, rows })
      else reject(new Refused(answer.refused))
    }
    const gone = () => stop('The file takes too much memory to read, or could not be read.')
    child.on('message', answered).once('exit', gone).once('error', gone)
    // A child that has just died is told of by its exit.
    child.send({ bytes, options }, () => {})

    function stop(why: string): void {
      letGo()
      child.kill('SIGKILL')
      reject(new Refused(why))
    }
    function letGo(): void {
      clearTimeout(timer)
      child.off('message', answered).off('exit', gone).off('error', gone)
    }
  })
}

function takeChild(): ChildProcess {
  const child = idle?.connected ? idle : startChild()
  idle = null
  child.ref()
  child.channel?.ref()
  return child
}

/** With nothing of the program's surroundings. */
function startChild(): ChildProcess {
  const child = fork(reader, {
    execArgv: heap,
    env: {},
    serialization: 'advanced',
    stdio: 'ignore',
  })
  const stop = () => child.kill('SIGKILL')
  process.once('exit', stop)
  child.once('exit', () => process.off('exit', stop))
  // Whatever happens to it while it idles affects no file.
  child.on('error', () => {})
  // Should memory run out all the same, the kernel of a Linux machine ends the child and not the program.
  if (child.pid !== undefined) writeFile(`/proc/${child.pid}/oom_score_adj`, '1000', () => {})
  return child
}

/** Unreferenced, so that an idle child does not keep the program from ending. */
function giveBack(child: ChildProcess): void {
  child.unref()
  child.channel?.unref()
  idle = child
  setTimeout(() => {
    if (idle !== child) return
    idle = null
    child.kill()
  }, idleMs).unref()
}
