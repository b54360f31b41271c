// The same form sent again is answered as before; other words under its id are a conflict, shown with both. Held here for
// every form that carries the id its page was made with, so that no handler has to.

import { sha256 } from '#platform'
import type { SentForm } from '../../storage/engine/sent-forms.ts'
import type { Deps } from '../deps.ts'
import { type Answer, json, page, redirectAfterWrite } from './answer.ts'
import type { Request } from './request.ts'
import { secretFields } from './secret-fields.ts'

/** A form with the id of its page. */
export interface IdentifiedForm {
  id: string
  digest: string
  fields: Record<string, string>
}

/** Null for a form that carries no id of its own. */
export function identifiedForm(req: Request): IdentifiedForm | null {
  const { id } = req.body
  if (req.method !== 'POST' || typeof id !== 'string' || !/^[0-9a-f-]{36}$/.test(id)) return null
  const fields = fieldsOf(req)
  const ordered = Object.entries(fields).sort(([a], [b]) => (a < b ? -1 : 1))
  return { id, fields, digest: sha256(JSON.stringify([req.path, ordered])) }
}

/** The answer to a form that was recorded before, or null for one that is new. */
export function answerToRepeat(deps: Deps, req: Request, form: IdentifiedForm): Answer | null {
  const stored = deps.storage.sentForms.find(form.id)
  if (!stored) return null
  if (stored.digest === form.digest) return redirectAfterWrite(deps, req, form.id, stored.next)
  if (req.wantsJson) return { ...json({ kept: null, conflict: true }), status: 409 }
  return page('sent-otherwise', conflictLocals(deps, stored, form), { status: 409 })
}

/** Records that the form was sent when its answer says that it was written. */
export function recordSent(deps: Deps, form: IdentifiedForm, answer: Answer): void {
  const next = writtenTo(answer)
  if (next !== null) deps.storage.sentForms.add({ ...form, next })
}

/** Where the answer to a written form leads; null for any other answer. */
export function writtenTo(answer: Answer): string | null {
  if (answer.kind === 'redirect') return answer.to
  return answer.kind === 'json' && typeof answer.data.next === 'string' ? answer.data.next : null
}

/** Made with the page or with the suggestion it showed, and not typed: a page made anew has others. */
const notTyped = new Set(['id', 'signatureId', 'offered', 'return', ...secretFields])

function fieldsOf({ body }: Request): Record<string, string> {
  return Object.fromEntries(
    Object.entries(body).flatMap(([name, value]) =>
      notTyped.has(name) || value === '' ? [] : [[name, [value].flat().join(', ')]],
    ),
  )
}

function conflictLocals(deps: Deps, stored: SentForm, form: IdentifiedForm) {
  const recorded = stored.fields
  const names = [...new Set([...Object.keys(recorded ?? {}), ...Object.keys(form.fields)])]
  const differing = names.filter(name => recorded?.[name] !== form.fields[name])
  return {
    title: 'Something else was recorded',
    recordedAt: deps.times.moment(stored.at),
    next: stored.next,
    rows: differing.map(name => ({
      name: labels[name] ?? name,
      recorded: recorded ? (recorded[name] ?? 'nothing') : 'no longer known here',
      sent: form.fields[name] ?? 'nothing',
    })),
  }
}

/** What the commonest fields are called on their pages. */
const labels: Record<string, string> = {
  text: 'Reading',
  word: 'What you see',
  how: 'How it was found',
  note: 'Note',
  reason: 'Why',
  words: 'Words',
  changed: 'What was changed',
  outcome: 'How the fault ends',
  action: 'What was done',
  item: 'What was taken off, out or across',
  nextStep: 'Next step',
  to: 'Check to go to',
  typed: 'Plate',
  noticed: 'What was noticed',
  reportedBy: 'Reported by',
  protection: 'Protection',
  serial: 'Serial number',
  printedName: 'Name',
}
