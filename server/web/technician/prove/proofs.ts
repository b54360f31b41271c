import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { healthyRow } from '../../../knowledge/healthy-row.ts'
import { matchRow } from '../../../knowledge/match.ts'
import type { Check } from '../../../knowledge/types.ts'
import { passesProof } from '../../../measurement/verdicts/verdict.ts'
import type { NewProof } from '../../../storage/storage.ts'
import { bearingOn } from '../../../walk/bearing.ts'
import { type DisturbedItem, stillDisturbed } from '../../../walk/disturbed.ts'
import { placeKey } from '../../../walk/place.ts'
import { type ProofItem, proofsNeeded, round } from '../../../walk/proof.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, oneOf, optionalWords, readForm, words } from '../../host/read-form.ts'
import type { Request } from '../../host/request.ts'
import { anotherReading, changed, notSeen, readTyped } from '../check/answer-check.ts'
import { type AskedAgain, choosingAddress, faultCheckLocals } from '../check/check-page.ts'
import { measures } from '../check/judged.ts'
import { gateFields, readingFields } from '../check/reading-fields.ts'
import {
  entryOf,
  type FaultInHand,
  namedCheck,
  nextAddress,
  type OwnFault,
  readFault,
  readOwnFault,
} from '../in-hand/fault-in-hand.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'
import { instrumentAt } from '../instruments/chosen.ts'
import { fuseQuestion } from '../repair/cause.ts'
import { namesOf, proofChecks, proofSymptoms } from './proof-rows.ts'

const proving = z.object({
  id: formId,
  word: z.string().max(200).optional().default(''),
  how: z.enum(['another', 'change']).optional().catch(undefined),
  ...readingFields,
  passes: z.enum(['yes', 'no']).optional(),
  reason: optionalWords(1000),
})

const symptomAgain = z.object({
  id: formId,
  word: oneOf(['gone', 'still there', 'cannot tell'], 'Look at the symptom again and say what you see.'),
})

const verdictOnSymptom = z.object({ id: formId, reason: words('Say what you saw.', 500) })

/** Every check the cause names, and the symptom itself, each with how it came out. */
export const index = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  return page('technician/prove/proof', indexLocals(fault))
}

export const show = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  const check = namedCheck(fault, req)
  itemOf(fault, check)
  return page(
    'technician/prove/proof-check',
    checkLocals(deps, req, fault, check, { values: gateFields(req.query) }),
  )
}

export const create = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  const check = namedCheck(fault, req)
  const back = `/faults/${fault.record.fault.id}/proof`
  if (fault.record.proofs.some(proof => proof.id === req.body.id))
    return redirectAfterWrite(deps, req, String(req.body.id), back)
  itemOf(fault, check)
  const form = readForm(proving, req)
  const again = (asked: AskedAgain) => {
    const values = { ...req.body, ...asked.values }
    const locals = checkLocals(deps, req, fault, check, { ...asked, values })
    return page('technician/prove/proof-check', locals, { status: asked.values ? 200 : 400 })
  }
  if (!form.ok) return again({ errors: form.errors })
  if (form.data.how) return again(form.data.how === 'change' ? changed : anotherReading(form.data))
  const answer = proofOf(deps, req, fault, check, form.data)
  if ('again' in answer) return again(answer.again)
  deps.storage.proofs.add(answer.proof)
  return redirectAfterWrite(deps, req, form.data.id, back)
}

function checkLocals(deps: Deps, req: Request, fault: OwnFault, check: Check, asked: AskedAgain) {
  const locals = faultCheckLocals(deps, fault, check, instrumentAt(deps, req, fault, check), asked)
  const base = `/faults/${fault.record.fault.id}`
  return {
    ...locals,
    choosing: choosingAddress(base, check, `proof/${check.tree}/${check.slug}`, asked.values),
    waits: namesOf(putBackFirst(fault, check)),
  }
}

export const createSymptom = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  const form = readForm(symptomAgain, req)
  if (!form.ok) return formAgain('technician/prove/proof', { ...indexLocals(fault), ...form })
  const cause = causeInHand(fault)
  deps.storage.proofs.add({
    ...base(req, fault, form.data.id, cause),
    kind: 'symptom',
    word: form.data.word,
    passed: form.data.word === 'gone',
  })
  // With everything back and proved there is nothing to stop at.
  const now = readFault(deps, req)
  const there = now.stage.kind === 'close' ? nextAddress(now) : `/faults/${fault.record.fault.id}/proof`
  return redirectAfterWrite(deps, req, form.data.id, there)
}

/** "Not this": a proof failed, or the repair is proved and the symptom is still there. The walk goes on. */
export const reject = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  const form = readForm(verdictOnSymptom, req)
  if (!form.ok) return formAgain('technician/prove/proof', { ...indexLocals(fault), ...form })
  if (fault.record.findings.some(finding => finding.id === form.data.id)) {
    return redirectAfterWrite(deps, req, form.data.id, `/faults/${fault.record.fault.id}/next`)
  }
  const cause = causeInHand(fault)
  const proofs = proofsNeeded(fault.knowledge, fault.walk, fault.record, fault.disturbed)
  const failed = proofs.some(item => item.kind === 'check' && item.state === 'failed')
  deps.storage.findings.add({
    id: form.data.id,
    ...entryOf(fault, req),
    kind: 'rejection',
    cause,
    mended: !failed && proofs.some(item => item.kind === 'check' && item.state === 'passed'),
    reason: form.data.reason,
    note: null,
    replaces: null,
  })
  return redirectAfterWrite(deps, req, form.data.id, `/faults/${fault.record.fault.id}/next`)
}

type Proving = z.output<typeof proving>

function proofOf(
  deps: Deps,
  req: Request,
  fault: OwnFault,
  check: Check,
  data: Proving,
): { proof: NewProof } | { again: AskedAgain } {
  const ref = { tree: check.tree, check: check.slug }
  const made = { ...base(req, fault, data.id, causeInHand(fault)), check: ref, reason: data.reason }
  if (!measures(check)) return observedProof(check, data, made)
  const answer = readTyped(deps, req, fault, check, data)
  if ('again' in answer) return answer
  const { unusual: _, ...read } = answer.read
  if (!read.range && !(data.passes && data.reason))
    return { again: { judgeProof: true, errors: unjudged(data) } }
  const passed = read.range ? passesProof(read.verdict) : data.passes === 'yes'
  return { proof: { ...read, ...made, passed } }
}

/** With no limit on record the technician says by which instruction it passes. */
function unjudged(data: Proving): Record<string, string> {
  if (!data.passes)
    return { passes: 'There is no limit on record. Say whether it passes by your own instructions.' }
  return { reason: 'Say by which instruction.' }
}

type MadeProof = ReturnType<typeof base> & Pick<NewProof & { kind: 'observation' }, 'check' | 'reason'>

/** An observation passes when it is the one that leads on along the healthy way: the first row the author wrote. */
function observedProof(check: Check, { word }: Proving, made: MadeProof) {
  const row = matchRow(check, { kind: 'word', word })
  if (!row) return { again: notSeen }
  return { proof: { ...made, kind: 'observation' as const, word, passed: row === healthyRow(check) } }
}

/** What is disturbed now and bears on the check, or with null on the symptom: a proof taken now would not count. */
function putBackFirst(fault: FaultInHand, check: Check | null): DisturbedItem[] {
  return bearingOn(fault.knowledge, check, stillDisturbed(fault.disturbed))
}

function itemOf(fault: OwnFault, check: Check): ProofItem {
  const items = proofsNeeded(fault.knowledge, fault.walk, fault.record, fault.disturbed)
  const item = items.find(one => one.kind === 'check' && one.check === check)
  if (!item) throw new AppError('conflict', 'This check is not among those that prove the repair in hand.')
  return item
}

function causeInHand(fault: FaultInHand): string {
  if (fault.walk.place.kind !== 'cause')
    throw new AppError('conflict', 'The walk stands at no cause, so there is nothing to prove.')
  return placeKey(fault.walk.place)
}

function base(req: Request, fault: OwnFault, id: string, cause: string) {
  return {
    id,
    ...entryOf(fault, req),
    cause,
    round: round(fault.record),
  }
}

function indexLocals(fault: FaultInHand) {
  const items = proofsNeeded(fault.knowledge, fault.walk, fault.record, fault.disturbed)
  const waits = (item: ProofItem) => putBackFirst(fault, item.kind === 'check' ? item.check : null)
  return {
    title: 'Prove the repair',
    fault,
    place: placeInWalk(fault),
    checks: proofChecks(items, waits),
    symptoms: proofSymptoms(items, waits),
    all: items.length,
    done: items.filter(item => item.state === 'passed').length,
    failed: items.some(item => item.state === 'failed'),
    unanswered: fuseQuestion(fault),
    next: fault.mine ? nextAddress(fault) : null,
    values: {},
  }
}
