// What is known: from when until when each kind of record is whole, and an engineer's word on it.

import { z } from 'zod'
import { memo } from '../../../cache.ts'
import { type KnownSource, knownSources, type RecordKind } from '../../../history/known.ts'
import { happened } from '../../../times.ts'
import { capitalize } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm, words } from '../../host/read-form.ts'
import { day, optionalDay } from '../../host/read-time.ts'
import { person, type Request } from '../../host/request.ts'
import { type Choice, columns, numbers, row, type Table } from '../../partials.ts'
import { frame } from './pages.ts'

const statement = memo((deps: Deps) =>
  z.object({
    id: formId,
    of: words('Choose the record.', 200),
    since: day(deps, happened, 'Give the first day that is whole.'),
    until: optionalDay(deps, happened),
    words: words('Say how you know.', 500),
  }),
)

export const show = (deps: Deps) => (req: Request) => page('engineer/review/known', knownLocals(deps, req))

export const create = (deps: Deps) => (req: Request) => {
  const locals = knownLocals(deps, req)
  const form = readForm(statement(deps), req)
  if (!form.ok) return formAgain('engineer/review/known', { ...locals, ...form })
  const { id, of, since, until, words } = form.data
  const errors: Record<string, string> = {}
  const source = locals.sources.find(one => keyOf(one) === of)
  if (source === undefined) errors.of = 'Choose the record.'
  if (until !== null && until < since) errors.until = 'That is before the first day.'
  if (source === undefined || Object.keys(errors).length > 0)
    return formAgain('engineer/review/known', { ...locals, values: { ...req.body }, errors })
  const by = person(req).id
  deps.storage.knownSpans.state({ id, by, kind: source.kind, source: source.source, since, until, words })
  return redirectAfterWrite(deps, req, id, '/review/known')
}

function knownLocals(deps: Deps, req: Request) {
  const { common } = frame(deps, req)
  const sources = knownSources(deps.storage.knownSpans.sources(), deps.clock().getTime())
  return {
    ...common,
    title: 'What is known',
    sources,
    table: sourcesTable(sources, common.day),
    choices: choices(sources),
    values: {},
  }
}

function keyOf({ kind, source }: { kind: RecordKind; source: string }): string {
  return `${kind} ${source}`
}

function choices(sources: readonly KnownSource[]): Choice[] {
  return [
    { value: '', label: 'Choose…' },
    ...sources.map(one => ({ value: keyOf(one), label: `${capitalize(one.kind)}: ${one.name}` })),
  ]
}

function sourcesTable(sources: readonly KnownSource[], dayOf: (ms: number) => string): Table {
  return {
    caption: 'Each kind of record by its source',
    captionHidden: true,
    columns: columns('Record', 'Source', numbers('Entries'), 'Known from', 'Known until', 'How that is told'),
    rows: sources.map(one =>
      row(
        capitalize(one.kind),
        one.name,
        one.entries,
        dayOf(one.span.fromMs),
        one.why === 'kept here' || one.stated?.toMs === null ? 'now' : dayOf(one.span.toMs - 1),
        whyWords(one, dayOf),
      ),
    ),
    empty:
      'No fault, round, unit change or temperature is on record. Bring in past faults, or report the first.',
  }
}

function whyWords(one: KnownSource, dayOf: (ms: number) => string): string {
  switch (one.why) {
    case 'said by an engineer':
      return `${one.stated?.by}: ${one.stated?.words}`
    case 'kept here':
      return 'From its first entry; entries still come at their usual pace.'
    case 'silent since':
      return `Nothing since ${dayOf(one.lastMs)}, longer than its usual pace leaves to luck (1 chance in 1,000).`
    case 'as the file has it':
      return 'From the first day in the file to the last.'
  }
}
