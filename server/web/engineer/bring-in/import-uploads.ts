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
  /** null until it is known or answered. */
  dateOrder: DateOrder | null
  decimalMark: DecimalMark
  /** Words of the file → what they mean; null until answered. Past faults only. */
  meanings: { symptoms: Map<string, string>; causes: Map<string, string> } | null
}

export interface Uploads {
  add(upload: Omit<Upload, 'id' | 'sha256'>): Upload
  /** Only to whoever sent it. */
  find(id: string, by: string): Upload | null
  forget(id: string): void
}

const maxAgeMs = 3_600_000
const maxEntries = 6

/** One for each program. */
export const uploadsOf = memo(({ clock }: Deps) => createUploads(() => clock().getTime()))

function createUploads(now: () => number): Uploads {
  const uploads = createNamedCache<Upload>({ maxEntries, maxAgeMs, now })

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
