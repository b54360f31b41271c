// What needs attention first: one line for each finding of the review, with where to look on.

import { dayMs } from '../../history/positions/exposure.ts'
import type { Review } from '../../storage/storage.ts'
import { capitalize, countWords } from '../../words.ts'
import { driftWords } from '../drift/drift-words.ts'
import type { Core, Figure } from '../figures.ts'
import type { Names } from '../names.ts'
import type { PositionState } from './position-state.ts'

export interface Attention {
  /** Shape of the mark, and its word. */
  kind: string
  word: string
  text: string
  because: string
  href: string
}

/** What stood on the list and stands there no more, with why. */
export interface Cleared extends Attention {
  sinceMs: number
}

export interface Found {
  core: Core
  /** Of each position that stands out, the costliest first. */
  states: PositionState[]
  /** Units that are scrapped or kept apart, by id, with why and since when. */
  apart: ReadonlyMap<string, { state: string; words: string; atMs: number }>
  reviews: Review[]
  today: string
  units: Figure<'units'> | null
  drifts: Figure<'drifts'> | null
  trends: Figure<'trends'> | null
  unseen: Figure<'unseen'> | null
  together: Figure<'together'> | null
}

type DayWords = (ms: number) => string

const mostOffenders = 12
const shownForDays = 90

/** Most pressing first: what is overdue, what stands out, what will, what nobody would see. */
export function attentionOf(found: Found, names: Names, query: string, day: DayWords): Attention[] {
  return [
    ...overdue(found, day),
    ...offenders(found, names, query, day),
    ...units(found, query),
    ...drifts(found, names, query, day),
    ...together(found, query),
    ...trends(found, names, query),
    ...unseen(found, query),
  ]
}

function overdue({ reviews, today }: Found, day: DayWords): Attention[] {
  return reviews
    .filter(review => review.due !== null && review.due < today && review.doneOn === null)
    .map(review => ({
      kind: 'out',
      word: 'overdue',
      text: `${review.siteName}, ${review.positionName}: ${review.action || 'review'}`,
      because: `${review.ownerName} was to have it done by ${day(Date.parse(review.due ?? ''))}.`,
      href: `/review/reviews/${review.reviewId}`,
    }))
}

function offenders({ states }: Found, names: Names, query: string, day: DayWords): Attention[] {
  return states
    .filter(state => leftOn(state) === null)
    .slice(0, mostOffenders)
    .map(state => ({
      kind: 'above',
      word: state.isNew ? 'new this week' : 'keeps failing',
      ...positionLine(state, query, factsOf(state, names, day)),
    }))
}

function positionLine({ offender }: PositionState, query: string, facts: string[] = []) {
  const { position, explained } = offender
  return {
    text: `${position.siteName}, ${position.name}`,
    because: [`${explained.words}.`, ...facts].join(' '),
    href: `/review/positions/${position.id}${query}`,
  }
}

function factsOf(state: PositionState, names: Names, day: DayWords): string[] {
  const { mainCause, lastFaultMs, changed, review, protectionLost } = state
  const facts: string[] = []
  if (mainCause !== null)
    facts.push(
      `Mostly: ${names.cause(mainCause.cause)}, ${mainCause.times} of ${mainCause.of} with a cause found.`,
    )
  if (lastFaultMs !== null) facts.push(`Last fault ${day(lastFaultMs)}.`)
  if (protectionLost > 0) facts.push(`Train protection was lost in ${countWords(protectionLost, 'fault')}.`)
  if (changed !== null) {
    const since = countWords(changed.faultsSince, 'fault')
    facts.push(`Last work ${day(changed.atMs)}: ${changed.action}; ${since} since.`)
  }
  facts.push(review === null ? 'No review is open.' : reviewWords(review, day))
  return facts
}

function reviewWords({ ownerName, due, doneOn }: Review, day: DayWords): string {
  if (doneOn !== null) return `Review: ${ownerName}, done ${day(Date.parse(doneOn))}, being watched.`
  return `Review: ${ownerName}, ${due === null ? 'no day given' : `due ${day(Date.parse(due))}`}.`
}

/** When a position left the list: cured by its own statistics, or no longer in service. */
function leftOn({ curedMs, outOfServiceMs }: PositionState): number | null {
  return outOfServiceMs ?? curedMs
}

/** What left the list in the last 90 days, the newest first, with why. */
export function clearedOf(found: Found, query: string): Cleared[] {
  const positions = found.states.flatMap(state => {
    const sinceMs = leftOn(state)
    if (sinceMs === null) return []
    const because = state.outOfServiceMs === null ? (state.stayed?.words ?? '') : 'It is out of service.'
    const word = state.outOfServiceMs === null ? 'cured' : 'out of service'
    return [{ kind: 'in', word, sinceMs, ...positionLine(state, query), because }]
  })
  const units = carryingUnits(found).flatMap(({ name, record }) => {
    const apart = found.apart.get(record.id)
    if (apart === undefined) return []
    const because =
      apart.words === '' ? `It is ${apart.state}.` : `${capitalize(apart.state)}: ${apart.words}`
    const href = `/review/units/${encodeURIComponent(record.id)}${query}`
    return [{ kind: 'in', word: apart.state, sinceMs: apart.atMs, text: capitalize(name), because, href }]
  })
  const from = found.core.past.asAtMs - shownForDays * dayMs
  return [...positions, ...units].filter(one => one.sinceMs >= from).sort((a, b) => b.sinceMs - a.sinceMs)
}

function carryingUnits({ units }: Found) {
  return (units?.carrying ?? []).filter(({ record }) => record.verdict === 'carries its fault')
}

function units(found: Found, query: string): Attention[] {
  return carryingUnits(found)
    .filter(({ record }) => !found.apart.has(record.id))
    .map(({ name, record, explained }) => ({
      kind: 'above',
      word: 'carries its fault',
      text: capitalize(name),
      because: explained.words,
      href: `/review/units/${encodeURIComponent(record.id)}${query}`,
    }))
}

function drifts({ drifts, core }: Found, names: Names, query: string, day: DayWords): Attention[] {
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
      text: `${late} of ${unseen.positions.length} unindicated positions overdue`,
      because: 'Not seen working for longer than the interval set for their kind.',
      href: `/review/unseen${query}`,
    },
  ]
}
