// One position and its case file: its repeats, faults and reviews.

import type { RepeatPosition } from '../../../review/repeats.ts'
import type { PositionFault } from '../../../storage/history/history-position.ts'
import type { Review } from '../../../storage/storage.ts'
import type { Times } from '../../../times.ts'
import { capitalize } from '../../../words.ts'
import { columns, row, type Table, type TableCell } from '../../partials.ts'
import type { ReviewWords } from './review-words.ts'

const lastFaultsShown = 8
const lastActionsShown = 4

/** Which symptoms came again at this position, by which of the depot's rules. */
export function repeatsHere(positions: RepeatPosition[], id: string, { nameOf, day }: ReviewWords) {
  return positions
    .filter(one => one.position.id === id)
    .map(one => ({
      family: nameOf.family(one.family),
      times: one.times,
      rules: one.rules.join('; '),
      newest: day(one.newestMs),
    }))
}

/** Newest first, each with its minutes of delay. */
export function faultsTable(faults: (PositionFault & { delay: number | null })[], words: ReviewWords): Table {
  return {
    caption: 'Newest first',
    captionHidden: true,
    columns: columns('Reported', 'Symptom', 'Cause', 'Delay'),
    rows: faults.map(one => ({
      ...row(
        { text: words.day(one.atMs), href: `/faults/${one.id}/record` },
        capitalize(one.symptom),
        causeCell(one, words),
        {
          text: one.delay === null ? 'not told' : `${one.delay} min`,
          href: `/review/faults/${one.id}/delay`,
        },
      ),
      current: one.outcome === null,
    })),
    empty: 'No fault was reported here in the window.',
  }
}

/** The few that a case file has room for. */
export function lastFaultsTable(faults: PositionFault[], words: ReviewWords): Table {
  return {
    caption: 'The last faults',
    columns: columns('Reported', 'Symptom', 'Cause'),
    rows: faults
      .slice(0, lastFaultsShown)
      .map(one => row(words.day(one.atMs), capitalize(one.symptom), causeCell(one, words))),
    empty: 'None in the window.',
  }
}

function causeCell({ cause, outcome, clearedItself }: PositionFault, { nameOf }: ReviewWords): TableCell {
  return {
    text: cause ? nameOf.cause(cause) : outcome || 'open',
    note: clearedItself ? 'cleared itself' : null,
  }
}

export function reviewsTable(reviews: Review[], times: Times): Table {
  return {
    caption: 'Reviews of this position',
    captionHidden: true,
    columns: columns('Opened', 'Why', 'Action', 'Owner', 'Due', 'State'),
    rows: reviews.map(one => ({
      ...row(
        { text: times.day(one.openedAt), href: `/review/reviews/${one.reviewId}` },
        one.why,
        one.action || 'none yet',
        one.ownerName,
        one.due || '–',
        stateWords(one),
      ),
      current: !one.closed,
    })),
    empty: 'None was opened.',
  }
}

function stateWords({ closed, result, doneOn }: Review): string {
  if (closed) return `closed: ${result || 'no result'}`
  return doneOn ? `done ${doneOn}` : 'open'
}

/** What is done about it, and whether the failure stayed away. */
export function lastActionsTable(
  actions: { review: Review; stayed: { words: string } | null }[],
  times: Times,
): Table {
  return {
    caption: 'What is done about it',
    columns: columns('Opened', 'Suspected', 'Action', 'Owner', 'Due', 'Did it stay away?'),
    rows: actions
      .slice(0, lastActionsShown)
      .map(({ review, stayed }) =>
        row(
          times.day(review.openedAt),
          review.cause || '–',
          review.action || '–',
          review.ownerName,
          review.due || '–',
          stayed?.words ?? (review.doneOn ? '–' : 'not done yet'),
        ),
      ),
    empty: 'No review was opened.',
  }
}
