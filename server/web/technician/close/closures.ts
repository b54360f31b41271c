import { z } from 'zod'
import { memo } from '../../../cache.ts'
import { AppError } from '../../../errors.ts'
import { newId } from '../../../ids.ts'
import { happenedBefore } from '../../../times.ts'
import { blockers, type ClosureDraft, outcomes } from '../../../walk/closing.ts'
import { placeKey } from '../../../walk/place.ts'
import type { ClosureOutcome } from '../../../walk/record.ts'
import { capitalize } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, type Page, page, redirectAfterWrite } from '../../host/answer.ts'
import {
  type FormErrors,
  formId,
  oneOf,
  optionalWords,
  readForm,
  ticked,
  words,
} from '../../host/read-form.ts'
import { optionalTime } from '../../host/read-time.ts'
import { person, type Request } from '../../host/request.ts'
import type { Choice, SummaryRow } from '../../partials.ts'
import { entryOf, type FaultInHand, readHeldFault } from '../in-hand/fault-in-hand.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'
import { repeatsHere } from '../report/position-history.ts'
import { testRows } from './record-tables.ts'
import { type TestAsked, testFields, testsAsked, testsMade } from './tests-after-work.ts'

/** What signing says; the words stand on the page beside the button and in the record. */
const meaning =
  'I did or saw done the work recorded here, everything disturbed is listed as it now stands, and the results are as I found them.'

const closing = memo((deps: Deps) =>
  z.object({
    id: formId,
    outcome: oneOf(
      ['proven cause', 'probable cause', 'not reproduced', 'not completed', 'passed on'],
      'Choose how the fault ends.',
    ),
    clearedItself: ticked,
    changed: words('Say what was changed or adjusted, or “nothing”.', 2000),
    words: words('Say in a sentence or two what the next person should know.', 3000),
    toldWho: optionalWords(300),
    toldAt: optionalTime(deps, happenedBefore),
    toldSaid: optionalWords(1000),
  }),
)

const signing = memo((deps: Deps) =>
  closing(deps).extend({
    signatureId: formId,
    printedName: words('Write your name to sign.', 80),
  }),
)

/** First page: how it ends and what was changed, with the reasons that still block signing. */
export const add = (deps: Deps) => (req: Request) => {
  const fault = readHeldFault(deps, req)
  return page('technician/close/closure', locals(deps, fault, {}))
}

/** Second page, in another place on the screen: what will be signed, read once more. */
export const review = (deps: Deps) => (req: Request) => {
  const fault = readHeldFault(deps, req)
  const form = readForm(closing(deps), req)
  const shown = locals(deps, fault, req.body)
  if (!form.ok) return formAgain('technician/close/closure', { ...shown, ...form })
  const reasons = blockers(fault.knowledge, fault.record, draftOf(fault, form.data, req.body))
  if (reasons.length > 0) {
    return formAgain('technician/close/closure', {
      ...shown,
      reasons,
      values: req.body,
      errors: { outcome: reasons[0] ?? '' },
    })
  }
  return page('technician/close/signature', signLocals(deps, req, fault, { ...req.body, ...form.data }))
}

export const create = (deps: Deps) => (req: Request) => {
  const fault = readHeldFault(deps, req)
  const form = readForm(signing(deps), req)
  if (!form.ok) return againToSign(deps, req, fault, form)
  const { data } = form
  const draft = draftOf(fault, data, req.body)
  const reasons = blockers(fault.knowledge, fault.record, draft)
  if (reasons.length > 0) throw new AppError('conflict', `This can't be signed yet. ${reasons.join(' ')}`)
  if (data.printedName.toLowerCase() !== person(req).name.toLowerCase()) {
    const errors = { printedName: `Write your name as you signed in: ${person(req).name}.` }
    return formAgain('technician/close/signature', {
      ...signLocals(deps, req, fault, { ...req.body, ...data }),
      values: data,
      errors,
    })
  }
  const { signatureId, printedName, toldWho, toldAt, toldSaid, ...closure } = data
  const at = toldAt ?? deps.clock().toISOString()
  const told = toldWho ? { who: toldWho, at, said: toldSaid ?? '' } : null
  const { cause, testsAfterWork } = draft
  const whole = { ...entryOf(fault, req), ...closure, told, cause, testsAfterWork }
  deps.storage.closures.add(whole, {
    id: signatureId,
    printedName,
    meaning,
  })
  return redirectAfterWrite(deps, req, data.id, `/faults/${fault.record.fault.id}/record`)
}

/** What is wrong with the name is said beside it; with anything else, on the page where it is typed. */
function againToSign(
  deps: Deps,
  req: Request,
  fault: FaultInHand,
  form: { errors: FormErrors; values: Record<string, unknown> },
): Page {
  const { printedName: _, ...before } = form.errors
  return Object.keys(before).length > 0
    ? formAgain('technician/close/closure', { ...locals(deps, fault, form.values), ...form })
    : formAgain('technician/close/signature', { ...signLocals(deps, req, fault, form.values), ...form })
}

function causeFor(fault: FaultInHand, outcome: ClosureOutcome): string | null {
  const named = outcome === 'proven cause' || outcome === 'probable cause'
  return named && fault.walk.place.kind === 'cause' ? placeKey(fault.walk.place) : null
}

function draftOf(fault: FaultInHand, data: Omit<ClosureDraft, 'cause'>, sent: Record<string, unknown>) {
  const cause = causeFor(fault, data.outcome)
  const tests = data.outcome === 'proven cause' ? testsMade(testsAsked(fault), sent) : []
  return { ...data, cause, testsAfterWork: tests }
}

function locals(deps: Deps, fault: FaultInHand, values: Record<string, unknown>) {
  const tests = testsAsked(fault)
  const reasons = Object.fromEntries(
    outcomes.map(outcome => {
      const asWritten = { outcome, changed: 'as written', words: 'as written', clearedItself: false }
      return [outcome, blockers(fault.knowledge, fault.record, draftOf(fault, asWritten, asPassed(tests)))]
    }),
  )
  return {
    title: 'Close the fault',
    fault,
    repeats: repeatsHere(deps, fault),
    place: placeInWalk(fault),
    outcomes: closureChoices(reasons),
    reasons: [],
    tests,
    values,
  }
}

/** The tests are on the same form: how the fault may end is said as if they were filled in. */
function asPassed(tests: TestAsked[]): Record<string, string> {
  return Object.fromEntries(
    tests.flatMap(({ passed, madeBy }) => [
      [passed, 'yes'],
      [madeBy, '–'],
    ]),
  )
}

function signLocals(deps: Deps, req: Request, fault: FaultInHand, data: Record<string, unknown>) {
  return {
    title: 'Sign',
    fault,
    place: placeInWalk(fault),
    // The time as it was typed, to be read in the same way once more.
    closing: { ...data, toldAt: req.body?.toldAt ?? '' },
    testFields: testFields(testsAsked(fault), data),
    rows: signatureRows(deps, fault, data),
    meaning,
    signatureId: newId(),
    values: {},
  }
}

/** How a fault can end, each with what still blocks it; `blocked`: outcome → reasons. */
function closureChoices(blocked: Record<string, string[]>): Choice[] {
  return Object.entries(blocked).map(([outcome, reasons]) => ({
    value: outcome,
    label: capitalize(outcome),
    mark: reasons.length > 0 ? 'open' : 'done',
    hint: reasons.length > 0 ? `Not yet: ${reasons.join(' ')}` : 'Can be signed.',
  }))
}

/** What will be signed, in few lines; `closing`: the form as it was sent. */
function signatureRows(deps: Deps, fault: FaultInHand, closing: Record<string, unknown>): SummaryRow[] {
  const { place } = fault.walk
  const open = placeInWalk(fault).disturbed?.count ?? 0
  return [
    { key: 'Fault', value: fault.record.fault.symptom },
    { key: 'Ends as', value: `${closing.outcome}${closing.clearedItself ? ', cleared itself' : ''}` },
    { key: 'Cause', value: place.kind === 'cause' ? place.cause.title : 'none named' },
    { key: 'Changed', value: text(closing.changed) },
    ...testRows(closing.outcome === 'proven cause' ? testsMade(testsAsked(fault), closing) : []),
    { key: 'Note for the next person', value: text(closing.words) },
    { key: 'Told', value: toldText(deps, closing) },
    { key: 'Disturbed', value: `${fault.disturbed.length} in all, ${open} not put back` },
  ]
}

/** "signaller, panel 2, 03:10: back in use"; without a time it is told now. */
function toldText({ times }: Deps, { toldWho, toldAt, toldSaid }: Record<string, unknown>): string {
  if (!text(toldWho)) return 'not noted'
  const when = text(toldAt) ? times.moment(text(toldAt)) : 'now'
  return `${text(toldWho)}, ${when}${text(toldSaid) ? `: ${text(toldSaid)}` : ''}`
}

function text(value: unknown): string {
  return typeof value === 'string' ? value : ''
}
