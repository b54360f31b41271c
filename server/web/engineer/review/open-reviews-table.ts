import type { Review } from '../../../storage/storage.ts'
import { columns, row, type Table } from '../../partials.ts'

/** Open reviews with what is done and whether the failure stayed away; `today` as a date field gives it. */
export function openReviewsTable(
  reviews: { review: Review; stayed: { words: string } | null }[],
  today: string,
): Table {
  return {
    caption: 'Open reviews, the soonest due first',
    captionHidden: true,
    columns: columns('Position', 'Owner', 'Action', 'Due', 'Did it stay away?'),
    rows: reviews.map(({ review, stayed }) =>
      row(
        {
          text: `${review.siteName}, ${review.positionName}`,
          href: `/review/reviews/${review.reviewId}`,
          note: review.why,
        },
        review.ownerName,
        { text: review.action || 'none yet', note: review.cause ? `suspected: ${review.cause}` : null },
        {
          text: review.due || 'no day',
          mark: isOverdue(review, today) ? { kind: 'out', word: 'overdue' } : null,
        },
        stayed?.words ?? 'not done yet',
      ),
    ),
    empty: 'No review is open. One is opened from a position’s page.',
  }
}

function isOverdue({ due, doneOn }: Review, today: string): boolean {
  return due !== null && due < today && !doneOn
}
