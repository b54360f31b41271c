// What a depot needs before a fault can be attended well, and how far it is.

import { limitUses } from '../../../knowledge/limit-use.ts'
import type { Knowledge } from '../../../knowledge/types.ts'
import type { SetUpCounts } from '../../../storage/storage.ts'
import { countWords } from '../../../words.ts'
import type { Deps } from '../../deps.ts'

export const stepKeys = [
  'people',
  'https',
  'tablets',
  'sites',
  'positions',
  'units',
  'limits',
  'instruments',
  'intervals',
  'past-faults',
  'labels',
] as const
export type StepKey = (typeof stepKeys)[number]

export interface Step {
  key: StepKey
  title: string
  done: boolean
  /** How it stands, in figures. */
  state: string
  why: string
  next: { href: string; text: string }
  /** The button that takes it off the list undone, for what the program can't see or a depot may not need. */
  settle: string | null
}

/** `origin`: by which the program was reached, "https://fourfoot.example"; null where nobody asks from a page. */
export function stepsOf(deps: Deps, origin: string | null): Step[] {
  const counts = deps.storage.setUp.counts()
  const settled = settledSteps(deps)
  const steps = [
    people(counts),
    https(counts, origin === null ? deps.config.cookieSecure : origin.startsWith('https:')),
    tablets(counts),
    ...places(counts),
    ...past(counts),
    limits(deps.library.current().knowledge),
    ...upkeep(counts),
  ]
  return steps.map(step => ({ ...step, done: step.done || (step.settle !== null && settled.has(step.key)) }))
}

/** Keys of the steps still to be done; none in the demo, which is made whole. */
export function missingSteps(deps: Deps, origin: string | null = null): StepKey[] {
  if (deps.demoNotice !== null) return []
  return stepsOf(deps, origin).flatMap(({ done, key }) => (done ? [] : [key]))
}

/** The kind of entry in the trail when a step was taken off the list, or put back. */
const settledSubject = 'first step'

export function settleStep({ storage }: Deps, key: StepKey, settled: boolean): void {
  storage.trail.happened({ subject: settledSubject, key, words: { settled: settled ? 'yes' : 'no' } })
}

/** Those taken off the list by hand. */
export function settledSteps({ storage }: Deps): Set<string> {
  const newest = new Map<string, boolean>()
  for (const { key, new: words } of storage.trail.listHappened(settledSubject, ''))
    if (!newest.has(key)) newest.set(key, JSON.parse(words ?? '{}').settled === 'yes')
  return new Set([...newest].flatMap(([key, settled]) => (settled ? [key] : [])))
}

const notNeeded = 'Not needed here'

function people({ engineers, technicians, readers }: SetUpCounts): Step {
  return {
    key: 'people',
    title: 'People',
    done: technicians > 0 && engineers + readers > 1,
    state: [
      countWords(engineers, 'engineer'),
      countWords(technicians, 'technician'),
      countWords(readers, 'author or reviewer', 'authors and reviewers'),
    ].join(', '),
    why: 'A technician attends. Limits and trees come into use when somebody has approved them who neither wrote them nor was let in by the writer: a second engineer makes their own account with a code from “npm run rescue”.',
    next: { href: '/people', text: 'Add people' },
    settle: null,
  }
}

function https({ carrying }: SetUpCounts, secure: boolean): Step {
  return {
    key: 'https',
    title: 'Tablets reach it over https',
    done: secure && carrying > 0,
    state: httpsState(secure, carrying),
    why: 'Nothing works without signal on a tablet that does not trust the certificate. How to get there: server/ops/README.md, “Behind TLS”.',
    next: { href: '/tablet', text: 'Ready this tablet for a shift' },
    settle: notNeeded,
  }
}

function httpsState(secure: boolean, carrying: number): string {
  if (!secure) return 'Reached over plain http: put a proxy that speaks TLS in front'
  if (carrying === 0) return 'Reached over https. No tablet has shown yet that it trusts the certificate'
  return `${countWords(carrying, 'tablet')} trusted the certificate`
}

function tablets({ tablets: count }: SetUpCounts): Step {
  return {
    key: 'tablets',
    title: 'Tablets',
    done: count > 0,
    state: `${count} enrolled`,
    why: 'A PIN works on an enrolled tablet only. Sign in on the tablet with the password and enrol it there.',
    next: { href: '/tablets', text: 'Enrol a tablet' },
    settle: null,
  }
}

const bringIn = (subject: string) => ({
  href: `/import?subject=${encodeURIComponent(subject)}`,
  text: `Bring in ${subject}`,
})

function places({ sites, positions }: SetUpCounts): Step[] {
  return [
    {
      key: 'sites',
      title: 'Sites',
      done: sites > 0,
      state: `${sites} on record`,
      why: 'Positions lie at sites.',
      next: bringIn('sites'),
      settle: null,
    },
    {
      key: 'positions',
      title: 'Positions',
      done: positions > 0,
      state: `${positions} in service`,
      why: 'A fault is reported at a position. Its facts, such as cable lengths, decide what its readings should be.',
      next: bringIn('positions'),
      settle: null,
    },
  ]
}

function past({ positions, withoutUnit, pastFaults }: SetUpCounts): Step[] {
  return [
    {
      key: 'units',
      title: 'Units',
      done: positions > 0 && withoutUnit === 0,
      state: `${positions - withoutUnit} of ${countWords(positions, 'position')} with a unit on record`,
      why: 'Like is changed for like, and a unit that fails again elsewhere is found out.',
      next: bringIn('units'),
      settle: notNeeded,
    },
    {
      key: 'past-faults',
      title: 'Past faults',
      done: pastFaults > 0,
      state: `${pastFaults} brought in`,
      why: 'The likely causes and the review learn from them.',
      next: bringIn('past faults'),
      settle: notNeeded,
    },
  ]
}

function limits(knowledge: Knowledge): Step {
  const uses = limitUses(knowledge)
  const missing = uses.filter(({ state }) => state !== 'owner')
  const held = new Set(missing.flatMap(({ checks }) => checks))
  const trees = new Set(missing.flatMap(one => one.trees))
  const demo = missing.filter(({ state }) => state === 'demo').length
  const rest = `${countWords(demo, 'demo value')}, ${missing.length - demo} blank: they hold up ${countWords(held.size, 'check')} in ${countWords(trees.size, 'tree')}`
  return {
    key: 'limits',
    title: 'Limits',
    done: missing.length === 0,
    state: `${uses.length - missing.length} of ${uses.length} are your own${missing.length > 0 ? `; ${rest}` : ''}`,
    why: 'By a demo value nothing is proved; where a limit is blank a reading gets no verdict.',
    next: { href: '/limits', text: 'Fill in limits' },
    settle: null,
  }
}

function upkeep({ instruments, outOfDate, kinds, kindsWithInterval }: SetUpCounts): Step[] {
  return [
    {
      key: 'instruments',
      title: 'Instruments',
      done: instruments > 0 && outOfDate === 0,
      state: `${instruments} in use${outOfDate > 0 ? `, ${outOfDate} out of calibration or with no date` : ''}`,
      why: 'How far an instrument may be off decides how near a limit a reading may lie.',
      next: { href: '/instruments/register', text: 'Enter instruments' },
      settle: notNeeded,
    },
    {
      key: 'intervals',
      title: 'Intervals of rounds',
      done: kinds > 0 && kindsWithInterval === kinds,
      state: `${kindsWithInterval} of ${countWords(kinds, 'kind')} of equipment`,
      why: 'A position whose failure nobody is shown is only found out by a round.',
      next: { href: '/rounds/intervals', text: 'Set intervals' },
      settle: notNeeded,
    },
    {
      key: 'labels',
      title: 'Labels',
      done: false,
      state: 'Not said to be up',
      why: 'A label in the case opens the right position on the tablet.',
      next: { href: '/positions/labels', text: 'Print labels' },
      settle: 'They are up',
    },
  ]
}
