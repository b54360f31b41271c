import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { findCheck, refKey } from '../../../knowledge/graph.ts'
import type { Check } from '../../../knowledge/types.ts'
import type { NewFinding } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { type Page, page, redirectAfterWrite } from '../../host/answer.ts'
import { readForm } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { type OwnFault, readOwnFault } from '../attend/fault-in-hand.ts'
import { chosenInstrument } from '../instruments/instruments.ts'
import { answerCheck } from './answer-check.ts'
import { type AskedAgain, faultCheckLocals } from './check-page.ts'
import { suggestedBy, suggestionOffered } from './outlook.ts'
import { findingFields } from './reading-fields.ts'

const found = z.object({ ...findingFields, offered: z.string().max(400).optional() })

type Found = z.output<typeof found>

export const create = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  const form = readForm(found, req)
  if (!form.ok) return showAgain(deps, req, fault, { errors: form.errors })
  const { data } = form
  const next = `/faults/${fault.record.fault.id}/checks/${data.tree}/${data.check}`
  if (fault.record.findings.some(finding => finding.id === data.id))
    return redirectAfterWrite(deps, req, data.id, next)
  const check = checkOf(fault, data)
  stillHere(fault, check, data)
  const answer = answerCheck(deps, req, fault, check, data, 'tree')
  if ('again' in answer) return showAgain(deps, req, fault, answer.again)
  recordFinding(deps, fault, { ...answer.found, ...base(req, fault, check, data) }, data.offered)
  return redirectAfterWrite(deps, req, data.id, next)
}

/** With the suggestion that the page showed beside the check and that was not taken, where there was one. */
function recordFinding(deps: Deps, fault: OwnFault, finding: NewFinding, offered: string | undefined): void {
  const suggestion = finding.replaces ? null : suggestionOffered(fault, offered)
  if (!suggestion) return void deps.storage.findings.add(finding)
  deps.storage.transaction(() => {
    deps.storage.findings.add(finding)
    deps.storage.suggestions.add(suggestedBy(fault, finding.id, suggestion, false))
  })
}

/** The walk may have moved on meanwhile: the typed words are kept on the page, nothing is written in the wrong place. */
function stillHere(fault: OwnFault, check: Check, data: Found): void {
  if (data.replaces) {
    const old = fault.record.findings.find(finding => finding.id === data.replaces)
    if (!old || !('check' in old) || refKey(old.check) !== refKey({ tree: check.tree, check: check.slug })) {
      throw new AppError('conflict', 'The finding you correct is not one of this check.')
    }
    return
  }
  const { stage } = fault
  // A reading taken before a break is a reading: it is kept, and the plate is asked for before anything else is done.
  const backFromBreak = stage.kind === 'identify' && stage.reason === 'after a break'
  if ((stage.kind === 'check' || backFromBreak) && stage.check === check) return
  const typed = data.text || data.word
  throw new AppError(
    'conflict',
    `The walk no longer stands at “${check.title}”, so “${typed}” was not recorded. Go back to the fault to see where it stands.`,
  )
}

function base(req: Request, fault: OwnFault, check: Check, data: Found) {
  return {
    id: data.id,
    faultId: fault.record.fault.id,
    attendanceId: fault.attendance.id,
    by: person(req).id,
    check: { tree: check.tree, check: check.slug },
    replaces: data.replaces || null,
    reason: data.reason,
  }
}

function checkOf(fault: OwnFault, data: Found): Check {
  const check = findCheck(fault.knowledge, { tree: data.tree, check: data.check })
  if (!check)
    throw new AppError('not found', 'There is no such check in the edition this fault is walked on.')
  return check
}

/** The same page with what was typed, and what is still asked. */
function showAgain(deps: Deps, req: Request, fault: OwnFault, again: AskedAgain): Page {
  const check = findCheck(fault.knowledge, { tree: String(req.body.tree), check: String(req.body.check) })
  if (!check)
    throw new AppError('invalid', 'The form does not say which check it is for. Go back to the fault.')
  const values = { ...req.body, ...again.values }
  const locals = faultCheckLocals(deps, fault, check, chosenInstrument(deps, req), { ...again, values })
  return page('technician/check/check', locals, { status: again.values ? 200 : 400 })
}
