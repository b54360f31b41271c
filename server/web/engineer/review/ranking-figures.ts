import type { Quality } from '../../../diagnosis/judging/quality.ts'
import type { OrderMinutes } from '../../../diagnosis/judging/replay.ts'
import { percentWords } from '../../../words.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'
import type { ReviewWords } from './review-words.ts'

/** How good the ranking was, in figures fit to be shown. */
export function rankingFigures(quality: Quality, { figureWords }: ReviewWords) {
  const percent = (share: number | null) => (share === null ? '–' : percentWords(share).replace(' %', ''))
  return {
    first: percent(quality.first),
    firstThree: percent(quality.firstThree),
    brier: figureWords(quality.brier),
    minutes: minutesTable(quality, figureWords),
  }
}

function minutesTable({ minutes, repeaters }: Quality, figureWords: ReviewWords['figureWords']): Table {
  const rowOf = (name: string, { n, author, suggested, best }: OrderMinutes) => {
    const each = (sum: number) => (n ? `${figureWords(sum / n)} each` : '–')
    return row(name, n, each(author), each(suggested), each(best))
  }
  return {
    caption: 'By the order of the checks, in minutes of the author’s own times',
    captionHidden: true,
    columns: columns(
      'Faults',
      numbers('n'),
      numbers('The author’s order'),
      numbers('Taking every suggestion'),
      numbers('The best order a deep search finds'),
    ),
    rows: [rowOf('All', minutes), rowOf('At positions with three earlier ones or more', repeaters)],
  }
}
