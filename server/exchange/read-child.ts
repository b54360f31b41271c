// A process that takes files apart: a hostile one may take all the memory it is given, and only this process ends.

import { readTable } from './read-table.ts'
import { type ReadOptions, Refused, type Row, type Table } from './table.ts'

/** Rows go over in parts, so that receiving them never holds the program up. */
export type Answer = { rows: Row[] } | { table: Omit<Table, 'rows'> } | { refused: string }

export interface Order {
  bytes: Uint8Array
  options: ReadOptions
}

const rowsInPart = 1000

async function read({ bytes, options }: Order): Promise<void> {
  try {
    const { rows, ...table } = await readTable(bytes, options)
    for (let at = 0; at < rows.length; at += rowsInPart) answer({ rows: rows.slice(at, at + rowsInPart) })
    answer({ table })
  } catch (error) {
    if (!(error instanceof Refused)) throw error
    answer({ refused: error.message })
  }
}

function answer(said: Answer): void {
  process.send?.(said)
}

process.on('message', order => void read(order as Order))
// Without the program there is nobody to read for.
process.on('disconnect', () => process.exit())
