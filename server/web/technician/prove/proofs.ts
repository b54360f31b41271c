import type { Request, Response } from 'express'
import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { healthyRow } from '../../../knowledge/healthy-row.ts'
import { matchRow } from '../../../knowledge/match.ts'
import type { Check } from '../../../knowledge/types.ts'
import { passesProof } from '../../../measurement/verdicts/verdict.ts'
import type { NewProof } from '../../../storage/storage.ts'
import { placeKey } from '../../../walk/place.ts'
import { type ProofItem, proofsNeeded, round } from '../../../walk/proof.ts'
import type { Deps } from '../../deps.ts'
import { renderErrors, renderPage } from '../../host/page.ts'
import { formId, oneOf, optionalWords, readForm, words } from '../../host/read-form.ts'
import { person, written } from '../../host/visitor.ts'
import { type FaultInHand, nextAddress, readFault, readOwnFault } from '../attend/fault-in-hand.ts'
import { type AskedAgain, checkLocals } from '../check/check-page.ts'
import { namedCheck } from '../check/checks.ts'
import { judgeTyped, measures } from '../check/judged.ts'
import { placeInWalk } from '../check/place-in-walk.ts'
import { anotherReading, gateFields, readingFields } from '../check/reading-fields.ts'
import { chosenInstrument } from '../instruments/instruments.ts'
import { fuseQuestion } from '../repair/cause.ts'
import { proofChecks, proofSymptoms } from './proof-rows.ts'

const proving = z.object({
  id: formId,
  word: z.string().max(200).optional().default(''),
  how: z.literal('another').optional().catch(undefined),
  ...readingFields,
  passes: z.enum(['yes', 'no']).optional(),
  reason: optionalWords(1000),
})

const symptomAgain = z.object({
  id: formId,
  word: oneOf(['gone', 'still there', 'cannot tell'], 'Look at the symptom again and say what you see.'),
})

const verdictOnSymptom = z.object({ id: formId, reason: words('Say what you saw.', 500) })

type Owned = ReturnType<typeof readOwnFault>

/** Every check the cause names, and the symptom itself, each with how it came out. */
export const index = (deps: Deps) => (req: Request, res: Response) => {
  const fault = readFault(deps, req, res)
  renderPage(res, 'technician/prove/proof', indexLocals(fault))
}

export const show = (deps: Deps) => (req: Request, res: Response) => {
  const fault = readOwnFault(deps, req, res)
  const check = namedCheck(fault, req)
  itemOf(fault, check)
  renderPage(
    res,
    'technician/prove/proof-check',
    checkLocals(deps, fault, check, chosenInstrument(deps, req), { values: gateFields(req.query) }),
  )
}

export const create = (deps: Deps) => (req: Request, res: Response) => {
  const fault = readOwnFault(deps, req, res)
  const check = namedCheck(fault, req)
  const back = `/faults/${fault.record.fault.id}/proof`
  if (fault.record.proofs.some(proof => proof.id === req.body?.id))
    return written(deps, req, res, String(req.body.id), back)
  itemOf(fault, check)
  const form = readForm(proving, req)
  const again = (asked: AskedAgain) => {
    if (!asked.values) res.status(400)
    const values = { ...req.body, ...asked.values }
    const page = checkLocals(deps, fault, check, chosenInstrument(deps, req), { ...asked, values })
    renderPage(res, 'technician/prove/proof-check', page)
  }
  if (!form.ok) return again({ errors: form.errors })
  if (form.data.how) return again(anotherReading(form.data))
  const answer = proofOf(deps, req, res, fault, check, form.data)
  if ('asked' in answer) return again(answer.asked)
  deps.storage.proofs.add(answer.proof)
  written(deps, req, res, form.data.id, back)
}

export const createSymptom = (deps: Deps) => (req: Request, res: Response) => {
  const fault = readOwnFault(deps, req, res)
  const form = readForm(symptomAgain, req)
  if (!form.ok) return renderErrors(res, 'technician/prove/proof', { ...indexLocals(fault), ...form })
  const cause = causeInHand(fault)
  deps.storage.proofs.add({
    ...base(res, fault, form.data.id, cause),
    kind: 'symptom',
    word: form.data.word,
    passed: form.data.word === 'gone',
  })
  written(deps, req, res, form.data.id, `/faults/${fault.record.fault.id}/proof`)
}

/** "Not this": a proof failed, or the repair is proved and the symptom is still there. The walk goes on. */
export const reject = (deps: Deps) => (req: Request, res: Response) => {
  const fault = readOwnFault(deps, req, res)
  const form = readForm(verdictOnSymptom, req)
  if (!form.ok) return renderErrors(res, 'technician/prove/proof', { ...indexLocals(fault), ...form })
  if (fault.record.findings.some(finding => finding.id === form.data.id)) {
    return written(deps, req, res, form.data.id, `/faults/${fault.record.fault.id}/next`)
  }
  const cause = causeInHand(fault)
  const proofs = proofsNeeded(fault.knowledge, fault.walk, fault.record)
  const failed = proofs.some(item => item.kind === 'check' && item.state === 'failed')
  deps.storage.findings.add({
    id: form.data.id,
    faultId: fault.record.fault.id,
    attendanceId: fault.attendance.id,
    by: person(res).id,
    kind: 'rejection',
    cause,
    mended: !failed && proofs.some(item => item.kind === 'check' && item.state === 'passed'),
    reason: form.data.reason,
    note: null,
    replaces: null,
  })
  written(deps, req, res, form.data.id, `/faults/${fault.record.fault.id}/next`)
}

function proofOf(
  deps: Deps,
  req: Request,
  res: Response,
  fault: Owned,
  check: Check,
  data: z.output<typeof proving>,
): { proof: NewProof } | { asked: AskedAgain } {
  const made = {
    ...base(res, fault, data.id, causeInHand(fault)),
    check: { tree: check.tree, check: check.slug },
  }
  if (!measures(check)) return observedProof(check, data, made)
  const instrument = chosenInstrument(deps, req)
  const judged = judgeTyped(fault, check, { ...data, instrument }, req.body)
  if (!judged.ok) return { asked: 'errors' in judged ? { errors: judged.errors } : { question: judged } }
  const { text, reading, range, verdict, taken } = judged
  if (!range && !(data.passes && data.reason)) return { asked: { judgeProof: true, errors: unjudged(data) } }
  const passed = range ? passesProof(verdict) : data.passes === 'yes'
  const own = {
    ...{ kind: 'reading' as const, text, reading, range, verdict, taken },
    instrument: instrument?.id ?? null,
  }
  return { proof: { ...made, ...own, passed, reason: data.reason } }
}

/** With no limit on record the technician says by which instruction it passes. */
function unjudged(data: z.output<typeof proving>): Record<string, string> {
  if (!data.passes)
    return { passes: 'There is no limit on record. Say whether it passes by your own instructions.' }
  return { reason: 'Say by which instruction.' }
}

type MadeProof = ReturnType<typeof base> & { check: { tree: string; check: string } }

/** An observation passes when it is the one that leads on along the healthy way: the first row the author wrote. */
function observedProof(check: Check, data: z.output<typeof proving>, made: MadeProof) {
  const row = matchRow(check, { kind: 'word', word: data.word })
  if (!row) return { asked: { errors: { word: 'Choose what you see.' } } }
  const passed = row === healthyRow(check)
  return { proof: { ...made, kind: 'observation' as const, word: data.word, passed, reason: data.reason } }
}

function itemOf(fault: Owned, check: Check): ProofItem {
  const items = proofsNeeded(fault.knowledge, fault.walk, fault.record)
  const item = items.find(one => one.kind === 'check' && one.check === check)
  if (!item) throw new AppError('conflict', 'This check is not among those that prove the repair in hand.')
  return item
}

function causeInHand(fault: FaultInHand): string {
  if (fault.walk.place.kind !== 'cause')
    throw new AppError('conflict', 'The walk stands at no cause, so there is nothing to prove.')
  return placeKey(fault.walk.place)
}

function base(res: Response, fault: Owned, id: string, cause: string) {
  return {
    id,
    faultId: fault.record.fault.id,
    attendanceId: fault.attendance.id,
    by: person(res).id,
    cause,
    round: round(fault.record),
  }
}

function indexLocals(fault: FaultInHand) {
  const items = proofsNeeded(fault.knowledge, fault.walk, fault.record)
  return {
    title: 'Prove the repair',
    fault,
    place: placeInWalk(fault),
    checks: proofChecks(items),
    symptoms: proofSymptoms(items),
    all: items.length,
    done: items.filter(item => item.state === 'passed').length,
    failed: items.some(item => item.state === 'failed'),
    unanswered: fuseQuestion(fault),
    next: fault.mine ? nextAddress(fault) : null,
    values: {},
  }
}
