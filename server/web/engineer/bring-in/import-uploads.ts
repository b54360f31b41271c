// Files on their way in. They wait in memory for the engineer's answers and are forgotten after an hour: a restart forgets
// them too, and the file is sent again.

import { sha256 } from '#platform'
import { createNamedCache, memo } from '../../../cache.ts'
import type { DateOrder } from '../../../exchange/parse-date.ts'
import type { DecimalMark } from '../../../exchange/parse-number.ts'
import type { BadRow } from '../../../exchange/parse-rows.ts'
import type { Subject } from '../../../exchange/subjects.ts'
import type { ReadOptions, Table } from '../../../exchange/table.ts'
import type { Bringing, RowOutcome } from '../../../storage/storage.ts'
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
  /** Field name → what holds for every row. */
  fixed: Record<string, string>
  /** A file of the same shape was brought in before: its answers stand here. */
  remembered: boolean
  /** null until it was worked out or answered. */
  dateOrder: DateOrder | null
  decimalMark: DecimalMark
  /** Words of the file → what they mean; null until answered. Past faults only. */
  meanings: { symptoms: Map<string, string>; causes: Map<string, string> } | null
  /** Under way, or done and not seen yet; null before it is asked for, and when an answer that it stands on changes. */
  tryOut: TryOut | null
  /** Rows that the last try-out refused, with why. */
  refused: BadRow[]
}

/** What was found of a file's rows so far. */
export interface LookedAt {
  /** Rows looked at, of so many. */
  done: number
  of: number
  /** Those that change something on record, and those that are bad. */
  named: RowOutcome[]
  /** The first of those that are new, and of those that are on record already. */
  added: RowOutcome[]
  same: RowOutcome[]
  /** Rows that could not even be read. */
  unreadable: BadRow[]
}

export interface TryOut {
  bringing: Bringing
  seen: LookedAt
  failed: { error: unknown } | null
  ended: Promise<void>
}

export interface Uploads {
  add(upload: Omit<Upload, 'id' | 'sha256' | 'tryOut' | 'refused'>): Upload
  /** Only for the person who sent it. */
  find(id: string, by: string): Upload | null
  forget(id: string): void
  /** Those of one person, newest first. */
  list(by: string): Upload[]
}

const maxAgeMs = 3_600_000
const maxEntries = 6
/** Of all of them together, as memoryOf reckons it. */
const maxBytes = 80_000_000

/** One for each program. */
export const uploadsOf = memo(({ clock }: Deps) => createUploads(() => clock().getTime()))

function createUploads(now: () => number): Uploads {
  let ids: string[] = []
  const uploads = createNamedCache<Upload>({ maxEntries, maxAgeMs, maxBytes, bytesOf: memoryOf, now })

  return {
    add(given) {
      const upload = {
        ...given,
        id: crypto.randomUUID(),
        sha256: sha256(given.bytes),
        tryOut: null,
        refused: [],
      }
      uploads.set(upload.id, upload)
      ids = [upload.id, ...ids].slice(0, maxEntries)
      return upload
    },
    find(id, by) {
      const upload = uploads.get(id)
      return upload?.by === by ? upload : null
    },
    forget: uploads.delete,
    list: by => ids.flatMap(id => uploads.get(id) ?? []).filter(upload => upload.by === by),
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
