// A process that takes files apart: a hostile one may take all the memory it is given, and only this process ends.

import { readTable } from './read-table.ts'
import { type ReadOptions, Refused, type Row, type Table } from './table.ts'

/** Rows go over in parts, each when the program asks for it, so that receiving them never holds the program up. */
export type Answer = { rows: Row[] } | { table: Omit<Table, 'rows'> } | { refused: string }

/** A file to read; or, once a part has come, that there may be another. */
export type Message = Order | 'next'

export interface Order {
  bytes: Uint8Array
  options: ReadOptions
}

const rowsInPart = 500
/** Called when the program asks for the next part. */
let goOn = () => {}

async function read({ bytes, options }: Order): Promise<void> {
  try {
    const { rows, ...table } = await readTable(bytes, options)
    for (let at = 0; at < rows.length; at += rowsInPart) {
      const asked = new Promise<void>(resolve => {
        goOn = resolve
      })
      answer({ rows: rows.slice(at, at + rowsInPart) })
      await asked
    }
    answer({ table })
  } catch (error) {
    if (!(error instanceof Refused)) throw error
    answer({ refused: error.message })
  }
}

function answer(said: Answer): void {
  process.send?.(said)
}

process.on('message', message => {
  if (message === 'next') goOn()
  else void read(message as Order)
})
// Without the program there is nobody to read for.
process.on('disconnect', () => process.exit())
