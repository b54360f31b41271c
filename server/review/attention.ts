// What needs attention first: one line for each finding of the review, with where to look on.

import type { Review } from '../storage/storage.ts'
import { capitalize } from '../words.ts'
import { driftWords } from './drift-words.ts'
import type { Core, Figure } from './figures.ts'
import type { Names } from './names.ts'

export interface Attention {
  /** Shape of the mark, and its word. */
  kind: string
  word: string
  text: string
  because: string
  href: string
}

export interface Found {
  core: Core
  reviews: Review[]
  today: string
  units: Figure<'units'> | null
  drifts: Figure<'drifts'> | null
  trends: Figure<'trends'> | null
  unseen: Figure<'unseen'> | null
  together: Figure<'together'> | null
}

/** Most pressing first: what is overdue, what stands out, what will, what nobody would see. */
export function attentionOf(
  found: Found,
  names: Names,
  query: string,
  day: (ms: number) => string,
): Attention[] {
  return [
    ...overdue(found),
    ...offenders(found, query),
    ...units(found, query),
    ...drifts(found, names, query, day),
    ...together(found, query),
    ...trends(found, names, query),
    ...unseen(found, query),
  ]
}

function overdue({ reviews, today }: Found): Attention[] {
  return reviews
    .filter(review => review.due !== null && review.due < today && review.doneOn === null)
    .map(review => ({
      kind: 'out',
      word: 'overdue',
      text: `${review.siteName}, ${review.positionName}: ${review.action || 'review'}`,
      because: `${review.ownerName} was to have it done by ${review.due}.`,
      href: `/review/reviews/${review.reviewId}`,
    }))
}

function offenders({ core }: Found, query: string): Attention[] {
  return core.offenders.out.slice(0, 12).map(({ position, explained }) => ({
    kind: 'above',
    word: 'keeps failing',
    text: `${position.siteName}, ${position.name}`,
    because: `${explained.words}.`,
    href: `/review/positions/${position.id}${query}`,
  }))
}

function units({ units }: Found, query: string): Attention[] {
  if (units === null) return []
  const carrying = units.carrying.filter(({ record }) => record.verdict === 'carries its fault')
  return carrying.map(({ name, record, explained }) => ({
    kind: 'above',
    word: 'carries its fault',
    text: capitalize(name),
    because: explained.words,
    href: `/review/units/${encodeURIComponent(record.id)}${query}`,
  }))
}

function drifts(
  { drifts, core }: Found,
  names: Names,
  query: string,
  day: (ms: number) => string,
): Attention[] {
  const going = (drifts?.found ?? []).filter(({ ended }) => ended === null)
  return going.slice(0, 8).map(entry => {
    const { series } = entry
    const position = core.past.byId.get(series.positionId)
    return {
      kind: 'close',
      word: 'drifts',
      text: `${position?.siteName}, ${position?.name}: ${names.check(series)}`,
      because: driftWords(entry, null, day),
      href: `/review/positions/${series.positionId}${query}`,
    }
  })
}

function together({ together }: Found, query: string): Attention[] {
  return (together?.found ?? []).slice(0, 5).map(({ together, explained }) => ({
    kind: 'above',
    word: 'fail together',
    text: capitalize(together.shared.name),
    because: `${explained.words}.`,
    href: `/review/when${query}#together`,
  }))
}

function trends({ trends }: Found, names: Names, query: string): Attention[] {
  const worse = (trends?.kinds ?? []).filter(kind => kind.trend.value === 'worse')
  return worse.map(kind => ({
    kind: 'above',
    word: 'getting worse',
    text: names.kind(kind.kind),
    because: kind.trend.words,
    href: `/review/trends${query}`,
  }))
}

function unseen({ unseen }: Found, query: string): Attention[] {
  const late = (unseen?.positions ?? []).filter(({ state }) => state === 'overdue').length
  if (late === 0 || unseen === null) return []
  return [
    {
      kind: 'waiting',
      word: 'visit overdue',
      text: `${late} of ${unseen.positions.length} positions nobody would see fail`,
      because: 'Not seen working for longer than the interval set for their kind.',
      href: `/review/unseen${query}`,
    },
  ]
}
