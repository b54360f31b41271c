// Evidence hold: where protection may have been lost unseen, nothing is disturbed before an engineer says so.

import type { Knowledge } from '../knowledge/types.ts'
import { acts, type Walk } from './place.ts'
import type { FaultRecord } from './record.ts'

export interface Hold {
  protection: 'lost' | 'not known'
  /** Why the walk stops here, in words. */
  why: string
}

/**
 * The hold that stops the walk where it stands, or null. Protection lost holds,
 * and so does protection not known: the safe side. It stops before a check that
 * disturbs and before a repair; checks that only look or measure go on.
 */
export function held(_knowledge: Knowledge, walk: Walk, record: FaultRecord): Hold | null {
  const { protection } = record.fault
  if (protection === 'kept' || record.closure || record.holdReleases.length > 0) return null
  if (!acts(walk.place)) return null
  const protectionWords =
    protection === 'lost' ? 'Protection was lost.' : 'It is not known whether protection was kept.'
  const next =
    walk.place.kind === 'check'
      ? `The next check disturbs something: ${walk.place.check.disturbs}.`
      : 'The next thing to do is a repair.'
  return { protection, why: `${protectionWords} ${next} It would change what others must still see.` }
}
