// One page a week: what is new, what came again, what is cured, overdue or failed on the wrong side, and what is not known.

import { knownSources } from '../../history/known.ts'
import { dayMs } from '../../history/positions/exposure.ts'
import type { RegisteredFault } from '../../storage/faults/fault-register.ts'
import { capitalize, countWords } from '../../words.ts'
import { coreOf, figure } from '../figures.ts'
import { namesOf } from '../names.ts'
import type { ReviewSource } from '../source.ts'
import { spanWords } from '../span-words.ts'
import { askedWindow } from '../window.ts'
import { type Cleared, clearedOf, type Found } from './attention.ts'
import { type PositionState, statesOf } from './position-state.ts'

export interface WeeklySheet {
  /** First and last day, as they are read. */
  from: string
  to: string
  basis: string
  sections: { title: string; lines: string[]; none: string }[]
}

const mostFaults = 500

/** The seven days up to now. */
export function weeklySheet(deps: ReviewSource): WeeklySheet {
  const now = deps.clock()
  const fromMs = now.getTime() - 7 * dayMs
  const asked = askedWindow({}, { times: deps.times, now })
  const core = coreOf(deps, asked)
  const reviews = deps.storage.reviews.listOpen()
  const states = statesOf(deps, core, asked.query, {
    reviews,
    known: figure(deps, core, asked, 'lastWeek'),
  })
  const found: Found = {
    ...{ core, states, reviews, today: deps.times.local(now.toISOString()).slice(0, 10) },
    ...{ apart: apartUnits(deps), units: figure(deps, core, asked, 'units') },
    ...{ drifts: null, trends: null, unseen: figure(deps, core, asked, 'unseen'), together: null },
  }
  const faults = weekFaults(deps, fromMs, now)
  return {
    from: deps.times.day(new Date(fromMs).toISOString()),
    to: deps.times.day(now.toISOString()),
    basis: core.basis,
    sections: [
      { title: 'New this week', lines: newLines(states), none: 'No position began to stand out.' },
      { title: 'Came again', lines: repeatLines(deps, found, fromMs), none: 'No fault came again.' },
      { title: 'Cured or gone', lines: curedLines(found, fromMs), none: 'Nothing left the list.' },
      { title: 'Overdue', lines: overdueLines(deps, found), none: 'Nothing is overdue.' },
      {
        title: 'Wrong side',
        lines: wrongSideLines(deps, faults),
        none: 'Train protection was lost in no fault.',
      },
      {
        title: 'What is not known',
        lines: unknownLines(deps, found, faults),
        none: 'Nothing is amiss with the record.',
      },
    ],
  }
}

export function apartUnits({ storage }: ReviewSource): Found['apart'] {
  return new Map(
    [...storage.unitLife.listApart()].map(
      ([id, { state, reason, at }]) => [id, { state, words: reason, atMs: Date.parse(at) }] as const,
    ),
  )
}

function weekFaults({ storage }: ReviewSource, fromMs: number, now: Date): RegisteredFault[] {
  const all = { place: '', equipment: '', cause: '', outcome: '', protection: '', afterWork: false } as const
  const filter = { ...all, from: new Date(fromMs).toISOString(), to: now.toISOString() }
  return storage.faultRegister.find(filter, { limit: mostFaults, offset: 0 })
}

function newLines(states: readonly PositionState[]): string[] {
  return states
    .filter(state => state.isNew)
    .map(({ offender }) => `${placeOf(offender.position)}: ${offender.explained.words}.`)
}

function placeOf({ siteName, name }: { siteName: string; name: string }): string {
  return `${siteName}, ${name}`
}

function repeatLines(deps: ReviewSource, { core }: Found, fromMs: number): string[] {
  const names = namesOf(deps)
  return core.repeats.positions
    .filter(one => one.newestMs >= fromMs)
    .map(one => `${placeOf(one.position)}: ${names.family(one.family)}, ${one.rules.join('; ')}.`)
}

function curedLines(found: Found, fromMs: number): string[] {
  const words = ({ text, word, because }: Cleared) => `${text}: ${word}. ${because}`
  return clearedOf(found, '')
    .filter(one => one.sinceMs >= fromMs)
    .map(words)
}

function overdueLines({ times }: ReviewSource, { reviews, today, unseen }: Found): string[] {
  const late = reviews.filter(({ due, doneOn }) => due !== null && due < today && doneOn === null)
  const lines = late.map(
    one =>
      `${one.siteName}, ${one.positionName}: ${one.action || 'review'} (${one.ownerName}, due ${times.day(one.due ?? '')}).`,
  )
  const visits = (unseen?.positions ?? []).filter(({ state }) => state === 'overdue').length
  if (visits === 0) return lines
  return [...lines, `Rounds: ${visits} of ${unseen?.positions.length} unindicated positions overdue.`]
}

function wrongSideLines(deps: ReviewSource, faults: readonly RegisteredFault[]): string[] {
  const names = namesOf(deps)
  return faults
    .filter(fault => fault.protection === 'lost')
    .map(fault => {
      const cause = fault.cause === null ? (fault.outcome ?? 'still open') : names.cause(fault.cause)
      const done = fault.changed ? ` Done: ${fault.changed}.` : ''
      const where = `${fault.siteName}, ${fault.positionName}`
      return `${where}, ${deps.times.day(fault.reportedAt)}: ${capitalize(fault.symptom)}; ${cause}.${done}`
    })
}

function unknownLines(deps: ReviewSource, { core }: Found, faults: readonly RegisteredFault[]): string[] {
  const silent = knownSources(deps.storage.knownSpans.sources(), deps.clock().getTime())
    .filter(source => source.why === 'silent since')
    .map(source => {
      const last = deps.times.day(new Date(source.lastMs).toISOString())
      return `${capitalize(source.kind)}: nothing on record since ${last}.`
    })
  const unsaid = faults.filter(fault => fault.protection === 'not known').length
  const without = faults.filter(({ closedAt, cause }) => closedAt !== null && cause === null).length
  const counts = [
    ...(unsaid > 0
      ? [`${countWords(unsaid, 'fault')} of the week: not known whether protection was lost.`]
      : []),
    ...(without > 0 ? [`${countWords(without, 'fault')} of the week closed without a cause.`] : []),
  ]
  return [...spanWords(core.past, core.behind), ...silent, ...counts]
}

/** For a terminal or a letter. */
export function weeklyText({ from, to, basis, sections }: WeeklySheet): string {
  const parts = sections.map(({ title, lines, none }) => {
    const said = lines.length === 0 ? [none] : lines
    return `${title}\n${said.map(line => `  - ${line}`).join('\n')}`
  })
  return `The week from ${from} to ${to}\n${basis}\n\n${parts.join('\n\n')}\n`
}
