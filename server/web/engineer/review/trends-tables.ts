// What the page on trends and drift shows as tables and captions.

import { driftChart } from '../../../charts/drift-chart.ts'
import type { Explained } from '../../../history/explained.ts'
import { driftPicture } from '../../../review/drift/drift-picture.ts'
import { driftWords } from '../../../review/drift/drift-words.ts'
import type { DriftEntry, DriftFigures } from '../../../review/drift/drifts.ts'
import type { TrendFigures } from '../../../review/trends.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'
import { positionHref, type ReviewWords } from './review-words.ts'

const mostPositions = 20
const mostDrifts = 40
const mostPictures = 6

export function kindTrendsTable({ kinds }: TrendFigures, { nameOf }: ReviewWords): Table {
  return {
    caption: 'Trend and rate',
    captionHidden: true,
    columns: columns('Kind', numbers('n'), 'Trend', 'Faults a year of service', 'Time between faults'),
    rows: kinds.map(one =>
      row(
        { text: nameOf.kind(one.kind), note: `${one.positions} positions` },
        one.faults,
        one.trend.words,
        one.rate.words,
        one.meanTime.words,
      ),
    ),
  }
}

export function kindWhys({ kinds }: TrendFigures, { nameOf }: ReviewWords) {
  return kinds.map(one => ({
    explained: one.trend,
    summary: `Why, for ${nameOf.kind(one.kind).toLowerCase()}?`,
  }))
}

export function positionTrendsTable({ positions }: TrendFigures, words: ReviewWords): Table {
  return {
    caption: 'Positions with a trend',
    captionHidden: true,
    columns: columns('Position', numbers('Faults'), 'Trend'),
    rows: positions
      .slice(0, mostPositions)
      .map(({ position, faults, trend }) =>
        row({ text: words.place(position.id), href: positionHref(position.id, words) }, faults, trend.words),
      ),
    empty: 'No position’s faults come faster or slower beyond what luck would give.',
  }
}

export function driftsTable({ found }: DriftFigures, words: ReviewWords): Table {
  const { day, nameOf, place } = words
  return {
    caption: 'Drifts',
    captionHidden: true,
    columns: columns('Position', 'Check', numbers('Readings'), 'How it went', 'Now'),
    rows: found.slice(0, mostDrifts).map(one => ({
      ...row(
        { text: place(one.series.positionId), href: positionHref(one.series.positionId, words) },
        nameOf.check(one.series),
        one.readings.length,
        driftWords(one, one.ended, day),
        one.ended === null ? 'going on' : `ended: ${one.ended.words}, ${day(one.ended.atMs)}`,
      ),
      current: one.ended === null,
    })),
    empty: 'No reading drifts beyond what luck would give.',
  }
}

/** The first drifts drawn; `crosses` says when each reaches its limit. */
export function driftPictures({ found }: DriftFigures, { day, nameOf, place }: ReviewWords) {
  return found.slice(0, mostPictures).map((entry: DriftEntry, i) => {
    const title = `${place(entry.series.positionId)}: ${nameOf.check(entry.series)}`
    return {
      chart: driftChart(driftPicture(`drift-${i}`, entry, title)),
      caption: `${title}. ${driftWords(entry, entry.ended, day)}`,
      crosses: entry.drift.crosses,
    }
  })
}

interface CheckDigits {
  tree: string
  check: string
  n: number
  heaping: Explained<unknown>
  piles: Explained<unknown>[]
}

/** Readings rounded, or nudged inside a limit, by check. */
export function digitsTable(checks: CheckDigits[], { nameOf }: ReviewWords): Table {
  return {
    caption: 'By check, all positions together',
    captionHidden: true,
    columns: columns('Check', numbers('n'), 'Last digits', 'Just inside a limit'),
    rows: checks.map(one => {
      const piles = new Set(one.piles.map(pile => pile.words))
      return row(nameOf.check(one), one.n, one.heaping.words, [...piles].join(' ') || 'no one limit')
    }),
    empty: 'Too few readings of any one check to say.',
  }
}
