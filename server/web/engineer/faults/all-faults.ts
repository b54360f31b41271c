// Every fault there is, narrowed down by the address, so that a list can be kept, sent and taken out as CSV; and what is
// told of those that failed on the wrong side.

import { csvRecord } from '../../../exchange/write-csv.ts'
import type { FaultFilter, RegisteredFault } from '../../../storage/faults/fault-register.ts'
import { dayTrouble, happened } from '../../../times.ts'
import { capitalize, countWords } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { download, page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { type Choice, columns, numbers, row, type Table, type TableRow } from '../../partials.ts'
import { causeTitle } from '../../titles.ts'

const pageSize = 100
/** Of one file; a whole depot is taken out under “Take out”. */
const mostInFile = 5000
const usualMonths = 24

const outcomes = [
  ...[
    'open',
    'proven cause',
    'probable cause',
    'not reproduced',
    'not completed',
    'passed on',
    'not recorded',
  ],
]
const protections = ['kept', 'lost', 'not known']

export const index = (deps: Deps) => (req: Request) => {
  const asked = askedFilter(deps, req)
  const total = deps.storage.faultRegister.count(asked.filter)
  const at = Math.max(0, Math.floor(Number(req.query.at) || 0))
  const found = deps.storage.faultRegister.find(asked.filter, { limit: pageSize, offset: at })
  const to = (offset: number) => `/review/faults${asked.query}${asked.query ? '&' : '?'}at=${offset}`
  return page('engineer/faults/all', {
    title: 'All faults',
    desk: true,
    ...asked,
    total: countWords(total, 'fault'),
    file: `/review/faults.csv${asked.query}`,
    selects: selectsOf(deps, asked.values),
    table: faultsTable(deps, found),
    pager: {
      label: 'Pages of the list',
      from: total === 0 ? 0 : at + 1,
      to: at + found.length,
      of: total,
      before: at > 0 ? to(Math.max(0, at - pageSize)) : undefined,
      after: at + pageSize < total ? to(at + pageSize) : undefined,
    },
  })
}

export const save = (deps: Deps) => (req: Request) => {
  const { filter } = askedFilter(deps, req)
  const found = deps.storage.faultRegister.find(filter, { limit: mostInFile, offset: 0 })
  const head = [
    'Reported',
    'Site',
    'Position',
    'Symptom',
    'Train protection',
    'Outcome',
    'Cause',
    'What was done',
  ]
  const lines = found.map(fault =>
    csvRecord([
      deps.times.local(fault.reportedAt).replace('T', ' '),
      fault.siteName,
      fault.positionName,
      fault.symptom,
      fault.protection,
      fault.outcome ?? 'open',
      fault.cause === null ? '' : causeTitle(deps, fault.cause),
      fault.changed ?? '',
      fault.delayMinutes,
    ]),
  )
  const text = csvRecord([...head, 'Delay in minutes']) + lines.join('')
  return download('faults.csv', 'text/csv; charset=utf-8; header=present', text)
}

/** Wrong-side failures with what was done, and how many there were of each kind. */
export const wrongSide = (deps: Deps) => (req: Request) => {
  const asked = askedFilter(deps, req)
  const filter = { ...asked.filter, protection: 'lost' as const }
  const { faultRegister } = deps.storage
  const found = faultRegister.find(filter, { limit: mostInFile, offset: 0 })
  const notKnown = faultRegister.count({ ...asked.filter, protection: 'not known' })
  return page('engineer/faults/wrong-side', {
    title: 'Wrong-side failures',
    desk: true,
    ...asked,
    words: `${countWords(found.length, 'fault')} of ${faultRegister.count(asked.filter)} left trains without protection.`,
    notKnown:
      notKnown === 0
        ? null
        : `Of ${countWords(notKnown, 'more fault')} it is not known whether protection was lost.`,
    byKind: byKindTable(deps, found),
    table: faultsTable(deps, found.slice(0, 500)),
  })
}

type Query = Record<string, unknown>

function text(query: Query, name: string, longest = 80): string {
  const value = query[name]
  return typeof value === 'string' ? value.trim().slice(0, longest) : ''
}

/** What was asked for in the address; a day that is none is left out, with what is wrong at its field. */
function askedFilter(deps: Deps, req: Request) {
  const now = deps.clock()
  const [from, to] = [text(req.query, 'from'), text(req.query, 'to')]
  const errors = {
    from: from === '' ? null : dayTrouble(from, happened, now),
    to: to === '' ? null : dayTrouble(to, happened, now),
  }
  const start = errors.from === null && from !== '' ? deps.times.fromLocal(`${from}T00:00`) : null
  const last = errors.to === null && to !== '' ? deps.times.fromLocal(`${to}T00:00`) : null
  if (start !== null && last !== null && last < start) errors.to = 'That is before the first day.'
  const usual = new Date(now)
  usual.setUTCMonth(usual.getUTCMonth() - usualMonths)
  const end = last === null || errors.to !== null ? now : new Date(Date.parse(last) + 86_400_000)
  const one = (name: string, all: readonly string[]) =>
    all.includes(text(req.query, name)) ? text(req.query, name) : ''
  const filter: FaultFilter = {
    from: start ?? usual.toISOString(),
    to: end.toISOString(),
    place: text(req.query, 'place'),
    equipment: text(req.query, 'equipment'),
    cause: text(req.query, 'cause', 200),
    outcome: one('outcome', outcomes) as FaultFilter['outcome'],
    protection: one('protection', protections) as FaultFilter['protection'],
    afterWork: text(req.query, 'afterWork') === 'yes',
  }
  const { place, equipment, cause, outcome, protection } = filter
  const values = {
    from,
    to,
    place,
    equipment,
    cause,
    outcome,
    protection,
    afterWork: filter.afterWork ? 'yes' : '',
  }
  const given = Object.entries(values).filter(([, value]) => value !== '')
  return { filter, errors, values, query: given.length === 0 ? '' : `?${new URLSearchParams(given)}` }
}

/** The filters that are chosen from a list, as they stand. */
function selectsOf(deps: Deps, values: Record<string, string>) {
  const { equipment } = deps.library.current().knowledge
  const plain = (value: string): Choice => ({ value, label: capitalize(value) })
  const select = (name: string, label: string, all: string, options: Choice[]) => ({
    name,
    label,
    type: 'select',
    error: null,
    value: values[name] ?? '',
    options: [{ value: '', label: all }, ...options],
  })
  const kinds = [...equipment.values()]
  const causes = kinds.flatMap(one =>
    [...one.causes.values()].map(cause => ({
      value: `${one.slug}/${cause.slug}`,
      label: `${one.name}: ${cause.title}`,
    })),
  )
  return [
    select(
      'equipment',
      'Kind',
      'All kinds',
      kinds.map(one => ({ value: one.slug, label: one.name })),
    ),
    select('cause', 'Cause', 'All causes', causes),
    select('outcome', 'Outcome', 'All outcomes', outcomes.map(plain)),
    select('protection', 'Train protection', 'All', [
      { value: 'lost', label: 'Lost: wrong side' },
      { value: 'kept', label: 'Kept: right side' },
      { value: 'not known', label: 'Not known' },
    ]),
    select('afterWork', 'After work', 'All', [{ value: 'yes', label: 'Within 30 days of work there' }]),
  ]
}

function faultsTable(deps: Deps, faults: RegisteredFault[]): Table {
  return {
    caption: 'Faults, the newest first',
    captionHidden: true,
    columns: columns(
      'Reported',
      'Position',
      'Symptom',
      'Cause',
      'What was done',
      'Train protection',
      numbers('Delay, min'),
    ),
    rows: faults.map(fault => faultRow(deps, fault)),
    empty: 'No fault is on record that fits. Ask for less, or bring in past faults under “Data”.',
  }
}

function faultRow(deps: Deps, fault: RegisteredFault): TableRow {
  const cause = fault.cause === null ? (fault.outcome ?? 'open') : causeTitle(deps, fault.cause)
  return {
    current: fault.closedAt === null,
    ...row(
      {
        text: deps.times.moment(fault.reportedAt),
        href: `/faults/${fault.id}${fault.closedAt ? '/record' : ''}`,
      },
      { text: `${fault.siteName}, ${fault.positionName}`, href: `/review/positions/${fault.positionId}` },
      capitalize(fault.symptom),
      { text: cause, note: fault.outcome === 'probable cause' ? 'probable' : null },
      fault.changed || '–',
      {
        text: fault.protection,
        mark: fault.protection === 'lost' ? { kind: 'out', word: 'wrong side' } : null,
      },
      fault.delayMinutes,
    ),
  }
}

function byKindTable(deps: Deps, faults: RegisteredFault[]): Table {
  const { equipment } = deps.library.current().knowledge
  const counts = new Map<string, { times: number; without: number }>()
  for (const fault of faults) {
    const name = equipment.get(fault.equipment)?.name ?? fault.equipment
    const one = counts.get(name) ?? { times: 0, without: 0 }
    const found = fault.outcome === 'proven cause' || fault.outcome === 'probable cause'
    counts.set(name, { times: one.times + 1, without: one.without + (found ? 0 : 1) })
  }
  return {
    caption: 'By kind of equipment',
    columns: columns('Kind', numbers('Wrong-side failures'), numbers('Without a cause found')),
    rows: [...counts]
      .sort(([, a], [, b]) => b.times - a.times)
      .map(([name, one]) => row(name, one.times, one.without)),
    empty: 'None is on record in this time.',
  }
}
