import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { findCheck, refKey } from '../../../knowledge/graph.ts'
import { matchRow } from '../../../knowledge/match.ts'
import type { Check } from '../../../knowledge/types.ts'
import type { NewFinding } from '../../../storage/storage.ts'
import type { Finding } from '../../../walk/record.ts'
import type { Deps } from '../../deps.ts'
import { type Page, page, redirectAfterWrite } from '../../host/answer.ts'
import { readForm } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { type FaultInHand, readOwnFault } from '../attend/fault-in-hand.ts'
import { chosenInstrument } from '../instruments/instruments.ts'
import { checkLocals } from './check-page.ts'
import { type Judged, judgeTyped, measures } from './judged.ts'
import { suggestedBy, suggestionOffered } from './outlook.ts'
import { anotherReading, findingFields } from './reading-fields.ts'

const found = z.object({ ...findingFields, offered: z.string().max(400).optional() })

type Found = z.output<typeof found>
type Owned = ReturnType<typeof readOwnFault>

/** What is still to be answered before the finding can be written: errors by field, or a question. */
interface Unanswered {
  /** The form's fields in place of those sent: a reading moved to those before it. */
  values?: Record<string, unknown>
  errors?: Record<string, string>
  question?: Exclude<Judged, { ok: true } | { errors: Record<string, string> }>
  /** The rows to choose from, where the finding does not decide by itself. */
  chooseRow?: string
}

export const create = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  const form = readForm(found, req)
  if (!form.ok) return showAgain(deps, req, fault, { errors: form.errors })
  const there = addressOf(fault, form.data)
  if (isKnown(fault, form.data.id)) return redirectAfterWrite(deps, req, form.data.id, there)
  const check = checkOf(fault, form.data)
  stillHere(fault, check, form.data)
  if (form.data.how === 'another') return showAgain(deps, req, fault, anotherReading(form.data))
  const answer = answerOf(deps, req, fault, check, form.data)
  if ('unanswered' in answer) return showAgain(deps, req, fault, answer.unanswered)
  recordFinding(deps, fault, answer.finding, form.data.offered)
  return redirectAfterWrite(deps, req, form.data.id, there)
}

/** With the suggestion that the page showed beside the check and that was not taken, where there was one. */
function recordFinding(deps: Deps, fault: Owned, finding: NewFinding, offered: string | undefined): void {
  const suggestion = finding.replaces ? null : suggestionOffered(fault, offered)
  if (!suggestion) return void deps.storage.findings.add(finding)
  deps.storage.transaction(() => {
    deps.storage.findings.add(finding)
    deps.storage.suggestions.add(suggestedBy(fault, finding.id, suggestion, false))
  })
}

/** The walk may have moved on meanwhile: the typed words are kept on the page, nothing is written in the wrong place. */
function stillHere(fault: Owned, check: Check, data: Found): void {
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

function answerOf(deps: Deps, req: Request, fault: Owned, check: Check, data: Found) {
  if (data.replaces && !data.reason) return { unanswered: { errors: { reason: 'Say why you correct it.' } } }
  if (data.how === 'cannot tell') return unclear(req, fault, check, data)
  if (data.how === 'observation') return observed(req, fault, check, data)
  return read(deps, req, fault, check, data)
}

function unclear(req: Request, fault: Owned, check: Check, data: Found): Answer {
  const row = matchRow(check, { kind: 'cannot tell' })
  const chosen = chosenRow(check, data.row)
  if (!row && !chosen)
    return {
      unanswered: { chooseRow: 'The tree has no row for this. Choose where to go by your own judgement.' },
    }
  if (!row && !data.reason)
    return {
      unanswered: { chooseRow: 'Say why you go this way.', errors: { reason: 'Say why you go this way.' } },
    }
  return { finding: { ...base(req, fault, check, data), kind: 'cannot tell', chosenRow: chosen } }
}

function observed(req: Request, fault: Owned, check: Check, data: Found): Answer {
  const row = matchRow(check, { kind: 'word', word: data.word })
  if (!row) return { unanswered: { errors: { word: 'Choose what you see.' } } }
  return {
    finding: { ...base(req, fault, check, data), kind: 'observation', word: data.word, chosenRow: null },
  }
}

function read(deps: Deps, req: Request, fault: Owned, check: Check, data: Found): Answer {
  if (!measures(check)) return { unanswered: { errors: { word: 'Choose what you see.' } } }
  const instrument = chosenInstrument(deps, req)
  const judged = judgeTyped(fault, check, { ...data, instrument }, req.body)
  if (!judged.ok) return { unanswered: 'errors' in judged ? { errors: judged.errors } : { question: judged } }
  const row = matchRow(check, {
    kind: 'reading',
    reading: judged.reading,
    range: judged.range,
    verdict: judged.verdict,
  })
  const chosen = chosenRow(check, data.row)
  if (!row && !chosen) {
    return {
      unanswered: {
        chooseRow: 'There is no limit to judge this by. Choose the row by your own instructions.',
      },
    }
  }
  const { text, reading, range, verdict, taken } = judged
  const own = { text, reading, range, verdict, taken, instrument: instrument?.id ?? null }
  const note = judged.unusual ? ['Confirmed unusual.', data.note].filter(Boolean).join(' ') : data.note
  return { finding: { kind: 'reading', chosenRow: chosen, ...own, ...base(req, fault, check, data), note } }
}

type Answer = { finding: NewFinding } | { unanswered: Unanswered }

function base(req: Request, fault: Owned, check: Check, data: Found) {
  return {
    id: data.id,
    faultId: fault.record.fault.id,
    attendanceId: fault.attendance.id,
    by: person(req).id,
    check: { tree: check.tree, check: check.slug },
    replaces: data.replaces || null,
    reason: data.reason,
    note: data.note,
  }
}

function chosenRow(check: Check, label: string): string | null {
  return check.rows.some(row => row.label === label) ? label : null
}

function isKnown(fault: Owned, id: string): boolean {
  return fault.record.findings.some((finding: Finding) => finding.id === id)
}

function checkOf(fault: FaultInHand, data: Found): Check {
  const check = findCheck(fault.knowledge, { tree: data.tree, check: data.check })
  if (!check)
    throw new AppError('not found', 'There is no such check in the edition this fault is walked on.')
  return check
}

function addressOf(fault: FaultInHand, data: Found): string {
  return `/faults/${fault.record.fault.id}/checks/${data.tree}/${data.check}`
}

/** The same page with what was typed, and what is still asked. */
function showAgain(deps: Deps, req: Request, fault: Owned, unanswered: Unanswered): Page {
  const check = findCheck(fault.knowledge, { tree: String(req.body.tree), check: String(req.body.check) })
  if (!check)
    throw new AppError('invalid', 'The form does not say which check it is for. Go back to the fault.')
  const values = { ...req.body, ...unanswered.values }
  const locals = checkLocals(deps, fault, check, chosenInstrument(deps, req), { ...unanswered, values })
  return page('technician/check/check', locals, { status: unanswered.values ? 200 : 400 })
}
