import type { Replayed } from '../../../walk/replay.ts'
import { columns, type Mark, numbers, row, type Table } from '../../partials.ts'

const mostChanged = 300

const changeMarks: Record<Replayed['change'], Mark> = {
  same: { kind: 'in', word: 'end as they did, in the same time' },
  elsewhere: { kind: 'out', word: 'end elsewhere' },
  stuck: { kind: 'hold', word: 'get stuck' },
  longer: { kind: 'above', word: 'take longer' },
  shorter: { kind: 'below', word: 'take shorter' },
}

/** How many walks end how; `mean`: minutes more than before. */
export function countsTable(counts: { kind: Replayed['change']; walks: number; mean: number }[]): Table {
  return {
    caption: 'What became of them',
    columns: columns('They', numbers('Walks'), numbers('Minutes each, on average')),
    rows: counts.map(({ kind, walks, mean }) =>
      row({ mark: changeMarks[kind] }, walks, meanWords(walks, mean)),
    ),
  }
}

function meanWords(walks: number, mean: number): string {
  if (walks === 0 || Math.abs(mean) < 0.05) return '–'
  return `${mean > 0 ? '+' : '−'}${Math.abs(mean).toFixed(1)}`
}

/** The walks that change, the gravest first; `finished`: all of them were looked at. */
export function changedTable(changed: Replayed[], runId: string, finished: boolean): Table {
  const shown = changed.slice(0, mostChanged)
  return {
    caption: `The gravest first${shown.length === mostChanged ? `, ${mostChanged} of them` : ''}`,
    columns: columns('Walk', 'Change', 'Ended at', 'Ends now at', numbers('Minutes')),
    rows: shown.map(one =>
      row(
        { text: one.faultId.slice(0, 10), href: `/replays/${runId}/${one.faultId}` },
        { mark: { kind: changeMarks[one.change].kind, word: one.change } },
        one.before.words,
        one.after.words,
        minutesWords(one.minutes),
      ),
    ),
    empty: finished ? 'None of them.' : 'None so far.',
  }
}

function minutesWords(minutes: number): string {
  if (minutes === 0) return '0'
  return `${minutes > 0 ? '+' : '−'}${Math.abs(minutes)}`
}
