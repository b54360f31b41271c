import type { CheckRef } from '../../knowledge/types.ts'
import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

export interface Suggested {
  faultId: string
  /** The finding that followed it, or was made instead. */
  findingId: string
  check: CheckRef
  saves: number
  followed: boolean
}

export interface Suggestions {
  /** Nothing happens when one is on record for the finding already. */
  add(suggested: Suggested): void
  /** How many were made and how many of them followed, over all faults. */
  counts(): { made: number; followed: number }
}

const insert = sql(`
  INSERT INTO suggestions (fault_id, finding_id, tree, "check", saves, followed)
  SELECT @faultId, @findingId, @tree, @check, @saves, @followed
  WHERE NOT EXISTS (SELECT 1 FROM suggestions WHERE finding_id = @findingId)`)
const count = sql<[], { made: number; followed: number }>(
  'SELECT count(*) AS made, coalesce(sum(followed), 0) AS followed FROM suggestions',
)

export function createSuggestions({ db, write }: Writer): Suggestions {
  return {
    add({ faultId, findingId, check, saves, followed }) {
      write(() => insert(db).run({ faultId, findingId, ...check, saves, followed: Number(followed) }))
    },
    counts: () => count(db).get() ?? { made: 0, followed: 0 },
  }
}
