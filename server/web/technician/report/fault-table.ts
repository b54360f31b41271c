import type { FaultSummary } from '../../../storage/storage.ts'
import { duration } from '../../../times.ts'
import { capitalize } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { columns, type Table, type TableCell, type TableRow } from '../../partials.ts'
import { causeTitle } from '../../titles.ts'

/** The history of a position or a site as a table; `where`: name the position in each row. */
export function faultTable(
  deps: Deps,
  faults: FaultSummary[],
  { caption, where }: { caption: string; where: boolean },
): Table {
  const days = deps.config.repeatWindowDays
  return {
    caption: `${caption}. “Repeat” marks a fault within ${days} days of an earlier one at the same position.`,
    columns: [
      ...columns('Fault', 'Reported', ...(where ? ['Position'] : []), 'Symptom', 'Cause', 'Last found'),
      { text: 'Attended', number: true },
      { text: 'Who' },
    ],
    rows: faults.map(fault => faultRow(deps, fault, where)),
    empty: 'No fault is on record.',
  }
}

function faultRow(deps: Deps, fault: FaultSummary, where: boolean): TableRow {
  const position = { text: fault.positionName, href: `/positions/${fault.positionId}` }
  return {
    current: !fault.closedAt,
    cells: [
      { text: String(fault.number ?? '') },
      {
        text: deps.times.moment(fault.reportedAt),
        href: `/faults/${fault.id}${fault.closedAt ? '/record' : ''}`,
        mark: fault.earlierInWindow ? { kind: 'above', word: 'repeat' } : null,
      },
      ...(where ? [position] : []),
      { text: capitalize(fault.symptom) },
      causeCell(deps, fault),
      { text: fault.lastFinding || 'nothing yet' },
      { text: duration(fault.minutes) },
      { text: fault.people.join(', ') },
    ],
  }
}

function causeCell(deps: Deps, fault: FaultSummary): TableCell {
  const { cause, closedAt, outcome, clearedItself } = fault
  const text = cause ? causeTitle(deps, cause) : closedAt ? (outcome ?? '') : 'open'
  const probable = outcome === 'probable cause' ? 'probable' : null
  return { text, note: clearedItself ? 'cleared itself' : probable }
}
