import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { findCheck, refKey } from '../../../knowledge/graph.ts'
import type { Check } from '../../../knowledge/types.ts'
import type { NewVisitFinding } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { type Page, page, redirect, redirectAfterWrite } from '../../host/answer.ts'
import { readForm } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { answerCheck, type CheckAnswer } from '../check/answer-check.ts'
import { type AskedAgain, checkLocals } from '../check/check-page.ts'
import { expectedBar } from '../check/expected-bar.ts'
import { readingWords } from '../check/found-reading.ts'
import { stepVerdict } from '../check/found-words.ts'
import { fieldsOf, findingFields, gateFields } from '../check/reading-fields.ts'
import { chosenInstrument } from '../instruments/instruments.ts'
import {
  nextRoundAddress,
  placeInRound,
  type RoundInHand,
  readOwnRound,
  readRound,
} from './rounds-in-hand.ts'

const found = z.object(findingFields)
type Found = z.output<typeof found>

/** The check where the round stands, or what was found at one that is done; any other sends on to where it stands. */
export const show = (deps: Deps) => (req: Request) => {
  const round = readRound(deps, req)
  const check = named(round, String(req.params.tree), String(req.params.check))
  const { place, path } = round.walk
  if (round.mine && place.kind === 'check' && place.check === check)
    return checkPage(deps, req, round, check, { values: gateFields(req.query) })
  const done = path.findLast(step => step.kind === 'check' && step.check === check)
  if (done?.kind !== 'check') return redirect(nextRoundAddress(round))
  const { finding } = done
  return page('technician/rounds/round-found', {
    title: check.title,
    check,
    round,
    step: done,
    place: placeInRound(round),
    verdict: stepVerdict(done),
    bar:
      finding.kind === 'reading' && finding.range
        ? expectedBar(finding.range, finding.reading, finding.verdict.uncertainty)
        : null,
    lines: finding.kind === 'reading' ? readingWords(finding.verdict, finding.taken) : [],
    next: nextRoundAddress(round),
    nextWords: place.kind === 'check' ? `Go on: ${place.check.title}` : 'Go on to the end',
  })
}

/** The check's form again with what was found, to correct it. */
export const correct = (deps: Deps) => (req: Request) => {
  const round = readOwnRound(deps, req)
  const { findings } = round.record
  const old = findings.find(finding => finding.id === req.params.finding)
  if (!old || !('check' in old)) throw new AppError('not found', 'There is no such finding to correct.')
  if (findings.some(finding => finding.replaces === old.id))
    throw new AppError('conflict', 'That finding was corrected already. Correct the newer one.')
  const check = named(round, old.check.tree, old.check.check)
  return checkPage(deps, req, round, check, { values: { ...fieldsOf(old), replaces: old.id } })
}

export const create = (deps: Deps) => (req: Request) => {
  const round = readOwnRound(deps, req)
  const form = readForm(found, req)
  const check = named(round, String(req.body.tree ?? ''), String(req.body.check ?? ''))
  if (!form.ok) return showAgain(deps, req, round, check, { errors: form.errors })
  const { data } = form
  const base = `/rounds/${round.record.visit.id}`
  // A reading is shown against its limit; what was seen needs no page of its own.
  const there = data.how === 'reading' ? `${base}/checks/${check.tree}/${check.slug}` : `${base}/next`
  const known = round.record.findings.some(finding => finding.id === data.id)
  if (known) return redirectAfterWrite(deps, req, data.id, there)
  stillHere(round, check, data)
  const answer = answerCheck(deps, req, round, check, data, 'round')
  if ('again' in answer) return showAgain(deps, req, round, check, answer.again)
  deps.storage.visits.addFinding(findingOf(req, round, check, data, answer.found))
  return redirectAfterWrite(deps, req, data.id, there)
}

function named(round: RoundInHand, tree: string, check: string): Check {
  const known = findCheck(round.knowledge, { tree, check })
  if (!known) throw new AppError('not found', 'There is no such check in the edition of this round.')
  return known
}

function stillHere({ walk, record }: RoundInHand, check: Check, data: Found): void {
  const here = refKey({ tree: check.tree, check: check.slug })
  if (data.replaces) {
    const old = record.findings.find(finding => finding.id === data.replaces)
    if (old && 'check' in old && refKey(old.check) === here) return
    throw new AppError('conflict', 'The finding you correct is not one of this check.')
  }
  if (walk.place.kind === 'check' && walk.place.check === check) return
  throw new AppError(
    'conflict',
    `The round no longer stands at “${check.title}”, so “${data.text || data.word}” was not recorded.`,
  )
}

function findingOf(
  req: Request,
  round: RoundInHand,
  check: Check,
  data: Found,
  found: CheckAnswer,
): NewVisitFinding {
  const { id, reason } = data
  return {
    ...found,
    id,
    reason,
    visitId: round.record.visit.id,
    by: person(req).id,
    check: { tree: check.tree, check: check.slug },
    replaces: data.replaces || null,
  }
}

function showAgain(deps: Deps, req: Request, round: RoundInHand, check: Check, again: AskedAgain): Page {
  return { ...checkPage(deps, req, round, check, { values: req.body, ...again }), status: 400 }
}

function checkPage(deps: Deps, req: Request, round: RoundInHand, check: Check, again: AskedAgain): Page {
  return page('technician/rounds/round-check', {
    ...checkLocals(deps, round, check, chosenInstrument(deps, req), again),
    round,
    place: placeInRound(round),
  })
}
