import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import type { Check } from '../../../knowledge/types.ts'
import type { NewFinding } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { type Page, page, redirectAfterWrite } from '../../host/answer.ts'
import { readForm } from '../../host/read-form.ts'
import type { Request } from '../../host/request.ts'
import { checkOf, entryOf, type OwnFault, readFault, readOwnFault } from '../in-hand/fault-in-hand.ts'
import { instrumentAt } from '../instruments/chosen.ts'
import { suggestedBy, suggestionOffered } from '../likely/outlook.ts'
import { answerCheck } from './answer-check.ts'
import { type AskedAgain, faultCheckLocals } from './check-page.ts'
import { mustCorrectCheck } from './corrections.ts'
import { afterFinding } from './just-found.ts'
import { findingFields } from './reading-fields.ts'

const fields = z.object({ ...findingFields, offered: z.string().max(400).optional() })

type Fields = z.output<typeof fields>

export const create = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  const form = readForm(fields, req)
  if (!form.ok) return showAgain(deps, req, fault, { errors: form.errors })
  const { data } = form
  const next = `/faults/${fault.record.fault.id}/checks/${data.tree}/${data.check}`
  if (fault.record.findings.some(finding => finding.id === data.id))
    return redirectAfterWrite(deps, req, data.id, afterFinding(deps, fault, data.id) ?? next)
  const check = checkOf(fault, data)
  stillHere(fault, check, data)
  const answer = answerCheck(deps, req, fault, check, data, 'tree')
  if ('again' in answer) return showAgain(deps, req, fault, answer.again)
  recordFinding(deps, fault, { ...answer.found, ...base(req, fault, check, data) }, data.offered)
  return redirectAfterWrite(deps, req, data.id, afterFinding(deps, readFault(deps, req), data.id) ?? next)
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

/** The walk may have moved on meanwhile: what was typed stays on the page, and nothing is written in the wrong place. */
function stillHere(fault: OwnFault, check: Check, data: Fields): void {
  if (data.replaces) {
    mustCorrectCheck(fault, data.replaces, check)
    return
  }
  const { stage } = fault
  // A reading taken before a break, or before the plate was asked for, is recorded; the plate comes before anything else.
  const backFromBreak = stage.kind === 'identify' && stage.reason !== 'first disturbing check'
  if ((stage.kind === 'check' || backFromBreak) && stage.check === check) return
  const typed = data.text || data.word
  throw new AppError(
    'conflict',
    `The walk no longer stands at “${check.title}”, so “${typed}” was not recorded. Go back to the fault to see where it stands.`,
  )
}

function base(req: Request, fault: OwnFault, check: Check, data: Fields) {
  return {
    id: data.id,
    ...entryOf(fault, req),
    check: { tree: check.tree, check: check.slug },
    replaces: data.replaces || null,
    reason: data.reason,
  }
}

/** The same page with what was typed, and what is still asked. */
function showAgain(deps: Deps, req: Request, fault: OwnFault, again: AskedAgain): Page {
  const check = checkOf(fault, { tree: String(req.body.tree), check: String(req.body.check) })
  const values = { ...req.body, ...again.values }
  const locals = faultCheckLocals(deps, fault, check, instrumentAt(deps, req, fault, check), {
    ...again,
    values,
  })
  return page('technician/check/check', locals, { status: again.values ? 200 : 400 })
}
