import type { CheckRef } from '../../knowledge/types.ts'
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

export function createSuggestions({ db, write }: Writer): Suggestions {
  const insert = db.prepare(`
    INSERT INTO suggestions (fault_id, finding_id, tree, "check", saves, followed)
    SELECT @faultId, @findingId, @tree, @check, @saves, @followed
    WHERE NOT EXISTS (SELECT 1 FROM suggestions WHERE finding_id = @findingId)`)
  const count = db.prepare<[], { made: number; followed: number }>(
    'SELECT count(*) AS made, coalesce(sum(followed), 0) AS followed FROM suggestions',
  )
  return {
    add({ faultId, findingId, check, saves, followed }) {
      write(() => insert.run({ faultId, findingId, ...check, saves, followed: Number(followed) }))
    },
    counts: () => count.get() ?? { made: 0, followed: 0 },
  }
}
