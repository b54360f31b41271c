import { Worker } from 'node:worker_threads'
import { limits, type ReadOptions, Refused, type Table } from './table.ts'

type Answer = { table: Table } | { refused: string }

const reader = new URL('./read-worker.ts', import.meta.url)

/** An idle thread is reused for the next file; one that was stopped is replaced. */
let waiting: Worker | null = null

/** readTable in a thread that is stopped when it takes too long or too much. Throws Refused then, too. */
export function readApart(
  bytes: Uint8Array,
  options: ReadOptions = {},
  { seconds = limits.seconds } = {},
): Promise<Table> {
  return new Promise((resolve, reject) => {
    const worker = takeWorker()
    const timer = setTimeout(
      () => stop(new Refused(`The file was not read within ${seconds} seconds.`)),
      seconds * 1000,
    )
    worker.on('message', answered).on('error', failed).on('exit', gone)
    worker.postMessage({ bytes, options })

    function answered(answer: Answer): void {
      letGo()
      giveBack(worker)
      if ('table' in answer) resolve(answer.table)
      else reject(new Refused(answer.refused))
    }
    function failed(error: Error): void {
      const tooMuch = 'code' in error && error.code === 'ERR_WORKER_OUT_OF_MEMORY'
      stop(tooMuch ? new Refused('The file takes too much memory to read.') : error)
    }
    function gone(): void {
      stop(new Refused('The file could not be read.'))
    }
    function stop(error: Error): void {
      letGo()
      void worker.terminate()
      reject(error)
    }
    function letGo(): void {
      clearTimeout(timer)
      worker.off('message', answered).off('error', failed).off('exit', gone)
    }
  })
}

function takeWorker(): Worker {
  const worker = waiting ?? startWorker()
  waiting = null
  worker.ref()
  return worker
}

function startWorker(): Worker {
  const resourceLimits = { maxOldGenerationSizeMb: limits.memoryMb }
  const worker = new Worker(reader, { resourceLimits })
  // An idle thread that dies affects no file.
  worker.on('error', () => {})
  worker.on('exit', () => {
    if (waiting === worker) waiting = null
  })
  return worker
}

/** Unreferenced, so that an idle thread does not keep the process alive. */
function giveBack(worker: Worker): void {
  worker.unref()
  if (waiting) void worker.terminate()
  else waiting = worker
}
