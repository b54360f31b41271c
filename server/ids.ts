import { v5, v7 } from 'uuid'
import { randomBytes } from '#platform'

const BYTES = 16
/** Random bytes for 256 ids at once: to ask for each id's alone took longer than all else that makes one. */
let pool = randomBytes(0)
let used = 0

/** An id for what is recorded: UUID version 7 (RFC 9562), so that ids sort by time. */
export function newId(): string {
  if (used === pool.length) {
    pool = randomBytes(256 * BYTES)
    used = 0
  }
  used += BYTES
  return v7({ random: pool.subarray(used - BYTES, used) })
}

/** The id of what follows from a form: the same each time that form is recorded. UUID version 5 (RFC 9562). */
export function idWithin(formId: string, part: string): string {
  return v5(part, formId)
}
