import type { BadRow } from '../../../exchange/parse-rows.ts'
import type { RowOutcome } from '../../../storage/exchange/imports.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'

const mostShown = 200

/** Each bad row of a file and why; the first of them when there are many. */
export function badRowsTable(bad: BadRow[]): Table {
  return {
    caption:
      bad.length > mostShown ? `The first ${mostShown} of ${bad.length} bad rows` : 'Each bad row and why',
    columns: columns(numbers('Line'), 'Why'),
    rows: bad.slice(0, mostShown).map(({ line, reason }) => row(line, reason)),
  }
}

/** What would change on record; the first of the changes when there are many. */
export function changesTable(changed: RowOutcome[]): Table {
  return {
    caption:
      changed.length > mostShown
        ? `The first ${mostShown} of ${changed.length} changes`
        : 'What would change',
    columns: columns(numbers('Line'), 'What'),
    rows: changed.slice(0, mostShown).map(({ line, words }) => row(line, words)),
  }
}
