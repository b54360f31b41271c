import { z } from 'zod'
import { may } from '../../../auth/roles.ts'
import { AppError } from '../../../errors.ts'
import { type LimitCells, setLimits, sourceCell } from '../../../knowledge/editions/set-limits.ts'
import { limitUses } from '../../../knowledge/limit-use.ts'
import type { Equipment } from '../../../knowledge/types.ts'
import { plainWords } from '../../../plain-words.ts'
import type { Draft } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { type FormErrors, formId, readForm } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'
import { checkDraft, slugOf } from '../drafts/workbench.ts'
import {
  type LimitRow,
  limitRows,
  nowWords,
  reviewTyped,
  startingValue,
  stateMarks,
  type TypedLimit,
} from './limit-rows.ts'

const view = 'author/limits/limit-form'
const back = { href: '/limits', text: 'Limits' }

/** The kinds of equipment, with how many of their limits are their owner's. */
export const index = (deps: Deps) => () => {
  return page('author/limits/limits', { title: 'Limits', desk: true, kinds: kindsTable(deps) })
}

function kindsTable({ library }: Deps): Table {
  const { knowledge } = library.current()
  const of = (kit: Equipment, state: string) =>
    limitUses(knowledge).filter(one => one.kit.slug === kit.slug && one.state === state).length
  return {
    caption: 'Kinds of equipment',
    captionHidden: true,
    columns: columns(
      'Equipment',
      numbers('Limits'),
      numbers('Your own'),
      numbers('Demo values'),
      numbers('Blank'),
    ),
    rows: [...knowledge.equipment.values()].map(kit =>
      row(
        { text: kit.name, href: `/limits/${kit.slug}` },
        kit.limits.length,
        of(kit, 'owner'),
        of(kit, 'demo'),
        of(kit, 'blank'),
      ),
    ),
  }
}

/** All limits of a kind in one table: the draft's where there is one. */
export const show = (deps: Deps) => (req: Request) => {
  const file = limitFile(deps, req)
  return page(view, { ...locals(req, file), values: valuesOf(file.rows.map(startingValue)) })
}

const sent = z.object({ id: formId, over: z.string().max(80) })

/** Puts what was typed into the draft of the equipment file, which is begun if there is none. */
export const update = (deps: Deps) => (req: Request) => {
  const file = limitFile(deps, req)
  const typed = file.rows.map((_, n) => typedAt(req.body, n))
  return saveLimits(deps, req, file, typed)
}

/** Saves a draft with these limits, in the order of the rows; or the form again with what is wrong. */
export function saveLimits(
  deps: Deps,
  req: Request,
  file: LimitFile,
  typed: TypedLimit[],
  fields: Readonly<Record<string, unknown>> = req.body,
) {
  const form = readForm(sent, { body: fields })
  const { changes, errors } = changesOf(file.rows, typed)
  if (!form.ok) Object.assign(errors, form.errors)
  else if (form.data.over !== file.over)
    errors.over =
      'Somebody changed this file meanwhile. Look at what stands beside each limit, and save again.'
  else if (changes.size === 0 && Object.keys(errors).length === 0) errors.over = 'Nothing is changed yet.'
  const text = setLimits(file.text, changes)
  if (form.ok && Object.keys(errors).length === 0) Object.assign(errors, unreadable(deps, req, file, text))
  if (!form.ok || Object.keys(errors).length > 0) return limitsAgain(req, file, typed, errors)
  keep(deps, req, file, { id: form.data.id, text })
  return redirectAfterWrite(deps, req, form.data.id, `/limits/${file.kit.slug}`)
}

/** The form with what was typed, and what is wrong with it. */
export function limitsAgain(req: Request, file: LimitFile, typed: TypedLimit[], errors: FormErrors) {
  return formAgain(view, { ...locals(req, file), values: valuesOf(typed), errors })
}

export interface LimitFile {
  path: string
  kit: Equipment
  draft: Draft | null
  /** What the rows are read from. */
  text: string
  /** The draft's text or the edition that this is; another one may have come between. */
  over: string
  rows: LimitRow[]
}

/** The equipment file with its draft over it. */
export function limitFile(deps: Deps, req: Request): LimitFile {
  const slug = String(req.params.kind)
  const path = `equipment/${slug}.md`
  const current = deps.library.current()
  const inUse = deps.library.files(current.id).find(file => file.path === path)
  if (!inUse) throw new AppError('not found', 'No file describes this kind of equipment.')
  const draft = deps.storage.drafts.findByPath(path)
  const text = draft?.head.text ?? inUse.text
  const { knowledge } = checkDraft(deps, named(draft, path, req), text)
  const kit = knowledge.equipment.get(slug)
  if (!kit)
    throw new AppError(
      'conflict',
      'The draft of this file has errors. Mend them there first, under Fault trees.',
    )
  const rows = limitRows(knowledge, kit, current.knowledge.equipment.get(slug))
  return { path, kit, draft, text, over: draft?.head.id ?? current.id, rows }
}

function named(draft: Draft | null, path: string, req: Request) {
  return draft ?? { id: '', path, begunBy: person(req).id }
}

function changesOf(rows: LimitRow[], typed: TypedLimit[]) {
  const changes = new Map<number, LimitCells>()
  const errors: Record<string, string> = {}
  rows.forEach((one, n) => {
    const given = typed[n]
    const found = given && reviewTyped(one, given)
    if (found?.state === 'wrong') errors[`${found.field}-${n}`] = `${one.name}: ${found.why}`
    if (given && found?.state === 'changed')
      changes.set(one.line, { value: given.value, unit: given.unit, source: sourceCell(given) })
  })
  return { changes, errors }
}

/** What the language of the fault trees can't read in a row, by the field of its value. */
function unreadable(deps: Deps, req: Request, file: LimitFile, text: string): FormErrors {
  const { problems } = checkDraft(deps, named(file.draft, file.path, req), text)
  return Object.fromEntries(
    problems
      .filter(({ severity }) => severity === 'error')
      .flatMap(({ source, found, expected }) => {
        const at = file.rows.findIndex(({ line }) => line === source.line)
        return at < 0 ? [] : [[`value-${at}`, `${file.rows[at]?.name}: ${found} ${expected}`]]
      }),
  )
}

function keep(
  deps: Deps,
  req: Request,
  { draft, path, text: before }: LimitFile,
  made: { id: string; text: string },
): void {
  const by = person(req).id
  const { drafts } = deps.storage
  deps.storage.transaction(() => {
    const baseEditionId = deps.library.current().id
    const begun = {
      id: crypto.randomUUID(),
      path,
      baseEditionId,
      by,
      textId: crypto.randomUUID(),
      text: before,
    }
    const { id: draftId, head } = draft ?? drafts.begin(begun)
    drafts.save({ ...made, draftId, over: head.id, by, pause: false })
  })
}

const formFields = [
  { name: 'value', label: 'Value', type: 'text' },
  { name: 'unit', label: 'Unit', type: 'text' },
  { name: 'source', label: 'Source', type: 'text' },
  { name: 'who', label: 'Given by', type: 'text' },
  { name: 'from', label: 'From', type: 'date' },
] as const

function typedAt(body: Request['body'], n: number): TypedLimit {
  const said = (name: string) =>
    plainWords(String(body[`${name}-${n}`] ?? ''))
      .replaceAll('\n', ' ')
      .trim()
      .slice(0, 400)
  return {
    value: said('value'),
    unit: said('unit'),
    source: said('source'),
    who: said('who'),
    from: said('from'),
  }
}

function valuesOf(typed: TypedLimit[]): Record<string, string> {
  return Object.fromEntries(
    typed.flatMap((one, n) => formFields.map(({ name }) => [`${name}-${n}`, one[name]])),
  )
}

function locals(req: Request, { kit, draft, over, rows, path }: LimitFile) {
  const missing = rows.filter(({ state }) => state !== 'owner').length
  return {
    title: `Limits: ${kit.name}`,
    desk: true,
    back,
    kind: slugOf(path),
    over,
    writes: may(person(req).role, 'write knowledge'),
    ownCount: rows.length - missing,
    of: rows.length,
    draft: draft && { id: draft.id, changed: rows.filter(({ changed }) => changed).length },
    rows: rows.map((one, n) => ({
      ...one,
      fields: formFields.map(({ name, label, type }) => ({
        name: `${name}-${n}`,
        kind: name,
        label,
        about: `${label} of ${one.name}`,
        type,
      })),
      mark: stateMarks[one.state],
      now: nowWords(one),
    })),
  }
}
