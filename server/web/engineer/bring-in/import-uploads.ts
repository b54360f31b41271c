// Files on their way in. They wait in memory for the engineer's answers and are forgotten after an hour: a restart forgets
// them too, and the file is sent again.

import { createHash } from 'node:crypto'
import type { DateOrder } from '../../../exchange/parse-date.ts'
import type { DecimalMark } from '../../../exchange/parse-number.ts'
import type { Subject } from '../../../exchange/subjects.ts'
import type { ReadOptions, Table } from '../../../exchange/table.ts'
import type { Deps } from '../../deps.ts'

export interface Upload {
  id: string
  by: string
  at: number
  subject: Subject
  fileName: string
  bytes: Uint8Array
  sha256: string
  options: ReadOptions
  table: Table
  columns: Record<string, number>
  /** null until it is known or answered. */
  dateOrder: DateOrder | null
  decimalMark: DecimalMark
  /** Words of the file → what they mean; null until answered. Past faults only. */
  meanings: { symptoms: Map<string, string>; causes: Map<string, string> } | null
}

export interface Uploads {
  add(upload: Omit<Upload, 'id' | 'at' | 'sha256'>): Upload
  /** Only to whoever sent it. */
  find(id: string, by: string): Upload | null
  forget(id: string): void
}

const keptMs = 3_600_000
const most = 6
/** Of all of them together, as memoryOf reckons it. */
const mostBytes = 80_000_000
const all = new WeakMap<Deps['storage'], Uploads>()

/** One for each program. */
export function uploadsOf({ storage, clock }: Deps): Uploads {
  const known = all.get(storage)
  if (known) return known
  const made = createUploads(() => clock().getTime())
  all.set(storage, made)
  return made
}

function createUploads(now: () => number): Uploads {
  const kept = new Map<string, Upload>()

  function tidy(): void {
    for (const [id, upload] of kept) if (now() - upload.at > keptMs) kept.delete(id)
    for (const id of [...kept.keys()].slice(0, Math.max(0, kept.size - most))) kept.delete(id)
    let bytes = 0
    for (const [id, upload] of [...kept].reverse()) {
      bytes += memoryOf(upload)
      if (bytes > mostBytes) kept.delete(id)
    }
  }

  return {
    add(given) {
      const sha256 = createHash('sha256').update(given.bytes).digest('hex')
      const upload = { ...given, id: crypto.randomUUID(), at: now(), sha256 }
      kept.set(upload.id, upload)
      tidy()
      return upload
    },
    find(id, by) {
      tidy()
      const found = kept.get(id)
      return found?.by === by ? found : null
    },
    forget: id => void kept.delete(id),
  }
}

const tableBytes = new WeakMap<Table, number>()

/** Bytes, roughly: the file, and each cell with its text. */
function memoryOf({ bytes, table }: Upload): number {
  let ofTable = tableBytes.get(table) ?? 0
  if (ofTable === 0)
    for (const { cells } of table.rows)
      for (const cell of cells) ofTable += 32 + (typeof cell === 'string' ? cell.length : 0)
  tableBytes.set(table, ofTable)
  return bytes.length + ofTable
}
