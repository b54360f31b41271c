// What the page on when faults come shows as tables, captions and groups.

import type { Figure } from '../../../review/figures.ts'
import { type FamilyRow, limits } from '../../../review/when/temperature-families.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'
import type { ReviewWords } from './review-words.ts'

const newestClusters = 5
const countsOnly = 'Counts only: most faults at a common temperature says nothing but that it is common.'

export function soonAfterWorkTable({ soon }: Figure<'afterWork'>, { place }: ReviewWords): Table {
  return {
    caption: 'Newest faults soon after work',
    columns: columns('Position', numbers('Days after'), 'Work', 'Where'),
    rows: soon.map(link =>
      row(
        { text: place(link.positionId), href: `/faults/${link.faultId}/record` },
        Math.floor(link.daysAfter),
        link.work.words,
        link.where === 'same' ? 'the same position' : place(link.work.positionId),
      ),
    ),
    empty: 'None.',
  }
}

/** Groups that fail together, each with the newest times it did. */
export function groupsTogether({ found }: Figure<'together'>) {
  return found.map(({ together, explained }) => ({
    explained,
    clusters: together.clusters.slice(-newestClusters).reverse(),
  }))
}

/** Faults by temperature with captions, and every symptom on days of frost and of heat. */
export function temperatureShown(
  { noted, bands, families, covered }: Figure<'temperature'>,
  words: ReviewWords,
) {
  return {
    covered,
    bands:
      bands?.map(one => ({
        ...one,
        caption: `By ${one.name}; the line is what the days in service alone would give`,
      })) ?? null,
    symptoms: families && {
      found: families.found,
      looked: families.rows.length / families.whens.length,
      tables: families.whens.map(when => ({
        when,
        table: symptomsTable(
          when,
          families.rows.filter(one => one.when === when),
          words,
        ),
      })),
    },
    noted: {
      ...noted,
      note: `n = ${noted.faults}. ${countsOnly}`,
    },
  }
}

function symptomsTable(when: string, rows: FamilyRow[], { nameOf, figureWords }: ReviewWords): Table {
  return {
    caption: `Symptoms on ${when} against the other days`,
    columns: columns(
      'Symptom',
      numbers('Faults then'),
      numbers('All'),
      numbers('As often as on other days'),
      '95 % limits',
    ),
    rows: rows.map(({ family, there, rest, ratio, tooFew }) =>
      row(
        nameOf.family(family),
        there.faults,
        there.faults + rest.faults,
        ratio === null || tooFew ? 'too few such days' : timesAsOften(ratio.ratio, figureWords),
        ratio === null || tooFew ? '–' : limits(ratio),
      ),
    ),
    empty: 'No faults.',
  }
}

function timesAsOften(ratio: number, figureWords: ReviewWords['figureWords']): string {
  return ratio === Infinity ? 'only then' : `${figureWords(ratio)} times`
}
