import type { evidenceFor } from '../../../walk/evidence.ts'

type Evidence = ReturnType<typeof evidenceFor>

/** The evidence for a cause, cut to what a page can show: four checks against it, six other causes. */
export function shownEvidence(evidence: Evidence): Evidence {
  return (
    evidence && {
      ...evidence,
      couldDisprove: evidence.couldDisprove.slice(0, 4),
      alive: evidence.alive.slice(0, 6),
    }
  )
}
