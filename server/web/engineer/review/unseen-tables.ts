// Positions that may stand dead unseen: what other intervals would buy, and which were seen working last.

import { deadShareWords } from '../../../history/positions/dead-time.ts'
import type { UnseenFigures, UnseenKind, UnseenPosition } from '../../../review/unseen.ts'
import { numberWords, percentWords } from '../../../words.ts'
import { columns, type Mark, numbers, row, type Table } from '../../partials.ts'
import { positionHref, type ReviewWords } from './review-words.ts'

const mostPositions = 60

/** Each kind of equipment with its table of other intervals. */
export function unseenKinds({ kinds }: UnseenFigures, words: ReviewWords) {
  return kinds.map(kind => ({ ...kind, intervals: intervalsTable(kind, words) }))
}

function intervalsTable(
  { others, intervalDays, positions }: UnseenKind,
  { figureWords }: ReviewWords,
): Table {
  return {
    caption: 'What another interval would buy, with 95 % limits of the share',
    columns: columns(
      'A round every',
      numbers('Rounds a year'),
      numbers('Dead share'),
      numbers('Dead days a year'),
      numbers('All together'),
    ),
    rows: others.map(other => ({
      ...row(
        `${other.intervalDays}\u00a0days`,
        figureWords(other.visitsPerYear),
        deadShareWords(other),
        numberWords(other.deadDaysPerYear, 'up'),
        numberWords(other.deadDaysPerYear * positions, 'up'),
      ),
      current: other.intervalDays === intervalDays,
    })),
  }
}

export function seenWorkingTable({ positions }: UnseenFigures, words: ReviewWords): Table {
  const { day } = words
  const cut = positions.length > mostPositions ? `; ${mostPositions} of ${positions.length}` : ''
  return {
    caption: `The likeliest to stand dead now first${cut}`,
    columns: columns(
      'Position',
      'Seen working',
      numbers('Days ago'),
      'Next round',
      numbers('Chance it stands dead now'),
    ),
    rows: positions
      .slice(0, mostPositions)
      .map(({ position, seenMs, state, visit, deadNow }) =>
        row(
          { text: `${position.siteName}, ${position.name}`, href: positionHref(position.id, words) },
          seenMs === null ? 'not since it was put in service' : day(seenMs),
          Math.floor(visit.daysSinceHealthy),
          { text: state === null ? 'no interval set' : day(visit.dueMs), mark: dueMark(state) },
          deadNowWords(deadNow),
        ),
      ),
    empty: 'None.',
  }
}

function deadNowWords(deadNow: UnseenPosition['deadNow']): string {
  if (deadNow === null) return '–'
  const chance = percentWords(deadNow.chance, 'up')
  return deadNow.atMost ? `at most ${chance}` : chance
}

function dueMark(state: UnseenPosition['state']): Mark | null {
  if (state === 'overdue') return { kind: 'out', word: 'overdue' }
  return state === 'due' ? { kind: 'close', word: 'due' } : null
}
