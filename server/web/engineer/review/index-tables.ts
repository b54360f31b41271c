// What the first page of the review lists: repeats by the depot's rules, offenders by the evidence, funnels.

import type { funnelsOf, Offenders } from '../../../review/offenders.ts'
import type { RepeatFigures } from '../../../review/repeats.ts'
import { percentWords } from '../../../words.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'
import { positionHref, type ReviewWords } from './review-words.ts'

const mostRepeats = 15
const mostOffenders = 30

/** "12" and "%" apart, as the figure stands large. */
function figureAndUnit(share: number | null): { value: string; unit: string } {
  return share === null
    ? { value: '–', unit: '' }
    : { value: percentWords(share).replace(' %', ''), unit: '%' }
}

/** Each rule with the share of faults that are a repeat by it. */
export function repeatStats({ shares }: RepeatFigures) {
  return shares.map(({ rule, explained }) => ({
    stat: {
      ...figureAndUnit(explained.value),
      words: rule.name,
      because: explained.words,
    },
    explained,
  }))
}

export function repeatsTable({ positions }: RepeatFigures, words: ReviewWords): Table {
  const cut = positions.length > mostRepeats ? `; ${mostRepeats} of ${positions.length}` : ''
  return {
    caption: `Positions with a repeat, the newest first${cut}`,
    columns: columns('Position', 'Symptom', 'Newest', numbers('Repeats'), 'By the rules'),
    rows: positions.slice(0, mostRepeats).map(one =>
      row(
        {
          text: `${one.position.siteName}, ${one.position.name}`,
          href: positionHref(one.position.id, words),
        },
        words.nameOf.family(one.family),
        words.day(one.newestMs),
        one.times,
        one.rules.join('; '),
      ),
    ),
    empty: 'No fault came again within any of the windows.',
  }
}

export function offendersTable({ out }: Offenders, words: ReviewWords): Table {
  const { figureWords } = words
  return {
    caption: 'Positions that fail more than their kind',
    captionHidden: true,
    columns: columns(
      'Position',
      numbers('Faults'),
      numbers('Usual'),
      numbers('Likely faults a year'),
      numbers('Worse than twice its kind'),
    ),
    rows: out.slice(0, mostOffenders).map(({ position, compared, chanceTwice, explained }) =>
      row(
        {
          text: `${position.siteName}, ${position.name}`,
          href: positionHref(position.id, words),
          note: explained.words,
        },
        compared.faults,
        figureWords(compared.expected),
        figureWords(explained.value),
        chanceTwice === null ? '–' : percentWords(chanceTwice),
      ),
    ),
    empty: 'No position fails more often than luck would give.',
  }
}

/** Why each position of the table of offenders is there. */
export function offenderWhys({ out }: Offenders) {
  return out.slice(0, mostOffenders).map(({ position, explained }) => ({
    explained,
    summary: `Why ${position.siteName}, ${position.name}?`,
  }))
}

export function funnelCharts(funnels: ReturnType<typeof funnelsOf>) {
  return funnels.map(one => ({
    ...one,
    caption: `${one.kind}: ${one.faults} faults at ${one.n} positions. ${one.dispersion.words}`,
  }))
}
