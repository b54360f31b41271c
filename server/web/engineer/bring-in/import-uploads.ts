// Files on their way in. They wait in memory for the engineer's answers and are forgotten after an hour: a restart forgets
// them too, and the file is sent again.

import { sha256 } from '#platform'
import { createNamedCache, memo } from '../../../cache.ts'
import type { DateOrder } from '../../../exchange/parse-date.ts'
import type { DecimalMark } from '../../../exchange/parse-number.ts'
import type { Subject } from '../../../exchange/subjects.ts'
import type { ReadOptions, Table } from '../../../exchange/table.ts'
import type { Deps } from '../../deps.ts'

export interface Upload {
  id: string
  by: string
  subject: Subject
  fileName: string
  bytes: Uint8Array
  sha256: string
  options: ReadOptions
  table: Table
  columns: Record<string, number>
  /** null until it was worked out or answered. */
  dateOrder: DateOrder | null
  decimalMark: DecimalMark
  /** Words of the file → what they mean; null until answered. Past faults only. */
  meanings: { symptoms: Map<string, string>; causes: Map<string, string> } | null
}

export interface Uploads {
  add(upload: Omit<Upload, 'id' | 'sha256'>): Upload
  /** Only for the person who sent it. */
  find(id: string, by: string): Upload | null
  forget(id: string): void
}

const maxAgeMs = 3_600_000
const maxEntries = 6
/** Of all of them together, as memoryOf reckons it. */
const maxBytes = 80_000_000

/** One for each program. */
export const uploadsOf = memo(({ clock }: Deps) => createUploads(() => clock().getTime()))

function createUploads(now: () => number): Uploads {
  const uploads = createNamedCache<Upload>({ maxEntries, maxAgeMs, maxBytes, bytesOf: memoryOf, now })

  return {
    add(given) {
      const upload = { ...given, id: crypto.randomUUID(), sha256: sha256(given.bytes) }
      uploads.set(upload.id, upload)
      return upload
    },
    find(id, by) {
      const upload = uploads.get(id)
      return upload?.by === by ? upload : null
    },
    forget: uploads.delete,
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
