import { duration, type Times } from '../../../times.ts'
import type { Resume } from '../../../walk/handover.ts'
import type { SummaryRow } from '../../partials.ts'

/** How long one was away, what was done last and what comes first now. */
export function resumeRows(resume: Resume, times: Times): SummaryRow[] {
  const { awayMinutes, lastDone, firstNotDone } = resume
  const last = lastDone
    ? `${lastDone.what}: ${lastDone.found} (${lastDone.byName}, ${times.clock(lastDone.at)})`
    : 'nothing yet'
  return [
    { key: 'Time away', value: duration(awayMinutes) },
    { key: 'Last done', value: last },
    { key: 'First not done', value: firstNotDone },
  ]
}
