// Runs in a thread of its own, so that a hostile file takes neither the program's time nor its memory.

import { parentPort } from 'node:worker_threads'
import { readTable } from './read-table.ts'
import { type ReadOptions, Refused } from './table.ts'

parentPort?.on('message', ({ bytes, options }: { bytes: Uint8Array; options: ReadOptions }) => {
  readTable(bytes, options).then(
    table => parentPort?.postMessage({ table }),
    error => {
      if (!(error instanceof Refused)) throw error
      parentPort?.postMessage({ refused: error.message })
    },
  )
})
