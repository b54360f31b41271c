import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { reachable, refKey, refOf } from '../../../knowledge/graph.ts'
import type { Check } from '../../../knowledge/types.ts'
import { placeKey } from '../../../walk/place.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirect, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm, ticked, words } from '../../host/read-form.ts'
import type { Request } from '../../host/request.ts'
import type { Choice } from '../../partials.ts'
import {
  checkOf,
  entryOf,
  type FaultInHand,
  nextAddress,
  type OwnFault,
  readOwnFault,
} from '../in-hand/fault-in-hand.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'
import { outlookOf, suggestedBy, suggestionFor } from './outlook.ts'

const leaving = z.object({
  id: formId,
  from: words('The place you leave is missing.'),
  to: words('Choose the check to go to.'),
  reason: words('Say why you choose another check. The engineer and the author read this.', 1000),
  suggested: ticked,
})

/** Offers every check the tree can reach, the way it stands with each in words. */
export const add = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  return page('technician/likely/departure', locals(fault, { to: String(req.query.to ?? '') }))
}

export const create = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  const form = readForm(leaving, req)
  if (!form.ok) return formAgain('technician/likely/departure', { ...locals(fault, {}), ...form })
  const repeated = fault.record.findings.some(finding => finding.id === form.data.id)
  if (!repeated) depart(deps, req, fault, form.data)
  const [tree, check] = form.data.to.split('#')
  return redirectAfterWrite(
    deps,
    req,
    form.data.id,
    `/faults/${fault.record.fault.id}/checks/${tree}/${check}`,
  )
}

/** The page after a cause was ruled out: choose where to go on. */
export const choice = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  if (fault.stage.kind !== 'choose') return redirect(nextAddress(fault))
  return page('technician/likely/departure', locals(fault, {}))
}

function depart(deps: Deps, req: Request, fault: OwnFault, data: z.output<typeof leaving>) {
  if (data.from !== placeKey(fault.walk.place)) {
    throw new AppError(
      'conflict',
      'The walk has moved on meanwhile. Go back to the fault to see where it stands.',
    )
  }
  const [tree = '', check = ''] = data.to.split('#')
  checkOf(fault, { tree, check })
  const suggestion = suggestionFor(fault, outlookOf(deps, fault))
  const taken = suggestion !== null && refKey(refOf(suggestion.check)) === data.to
  deps.storage.findings.add({
    id: data.id,
    ...entryOf(fault, req),
    kind: 'departure',
    from: data.from,
    to: { tree, check },
    suggested: data.suggested && taken,
    reason: data.reason,
    note: null,
    replaces: null,
  })
  if (suggestion) deps.storage.suggestions.add(suggestedBy(fault, data.id, suggestion, taken))
}

function locals(fault: FaultInHand, values: Record<string, unknown>) {
  const { place } = fault.walk
  return {
    title: place.kind === 'choose' ? 'Where to go on' : 'Choose another check',
    fault,
    place: placeInWalk(fault),
    from: placeKey(place),
    standing: place.kind === 'check' ? place.check.title : null,
    choosing: place.kind === 'choose',
    checks: departureChoices(offered(fault)),
    values,
  }
}

/** Checks not done yet first, in the author's order. */
function offered(fault: FaultInHand): { check: Check; key: string; done: boolean }[] {
  const done = new Set(fault.walk.path.flatMap(step => (step.kind === 'check' ? [step.check] : [])))
  const all = reachable(fault.knowledge, fault.tree).checks.map(check => {
    const ref = refOf(check)
    return { check, key: `${ref.tree}#${ref.check}`, done: done.has(check) }
  })
  return [...all.filter(one => !one.done), ...all.filter(one => one.done)]
}

/** The checks a walk may be led to off its path; `key`: `tree#check`. */
function departureChoices(checks: { check: Check; key: string; done: boolean }[]): Choice[] {
  return checks.map(({ check, key, done }) => ({
    value: key,
    label: check.title,
    hint: `${done ? 'done before' : 'not done yet'}${check.minutes ? `, about ${check.minutes} min` : ''}`,
    mark: done ? 'done' : 'open',
  }))
}
