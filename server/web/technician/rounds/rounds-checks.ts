import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import type { Check } from '../../../knowledge/types.ts'
import type { NewVisitFinding } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { type Page, page, redirect, redirectAfterWrite } from '../../host/answer.ts'
import { readForm } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { answerCheck, type CheckAnswer } from '../check/answer-check.ts'
import { expectedBar } from '../check/check-drawings.ts'
import { type AskedAgain, checkLocals } from '../check/check-page.ts'
import { findingToCorrect, mustCorrectCheck } from '../check/corrections.ts'
import { lastReadings } from '../check/last-readings.ts'
import { measureAgain, measuredAgain } from '../check/measure-again.ts'
import { fieldsOf, findingFields, gateFields } from '../check/reading-fields.ts'
import { checkOf, namedCheck } from '../in-hand/fault-in-hand.ts'
import { readingWords, stepVerdict } from '../in-hand/found-words.ts'
import { instrumentAt } from '../instruments/chosen.ts'
import {
  nextRoundAddress,
  placeInRound,
  type RoundInHand,
  readOwnRound,
  readRound,
} from './rounds-in-hand.ts'

const fields = z.object(findingFields)
type Fields = z.output<typeof fields>

/** The check where the round stands, or what was found at one that is done; any other sends on to where it stands. */
export const show = (deps: Deps) => (req: Request) => {
  const round = readRound(deps, req)
  const check = namedCheck(round, req)
  const { place, path } = round.walk
  if (round.mine && place.kind === 'check' && place.check === check)
    return checkPage(deps, req, round, check, { values: gateFields(req.query) })
  const done = path.findLast(step => step.kind === 'check' && step.check === check)
  if (done?.kind !== 'check') return redirect(nextRoundAddress(round))
  const { finding } = done
  const again =
    round.mine && done === path.at(-1)
      ? measureAgain(deps, round, check, done, `/rounds/${round.record.visit.id}`)
      : null
  return page('technician/rounds/round-found', {
    again,
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
    lastReadings: lastReadings(deps, round, check),
    next: nextRoundAddress(round),
    nextWords: place.kind === 'check' ? `Go on: ${place.check.title}` : 'Go on to the end',
  })
}

/** The check's form again with what was found, to correct it. */
export const correct = (deps: Deps) => (req: Request) => {
  const round = readOwnRound(deps, req)
  const old = findingToCorrect(round, req)
  const check = checkOf(round, old.check)
  const again = req.query.again === 'yes' && old.kind === 'reading'
  const said = again ? { reason: measuredAgain } : fieldsOf(old)
  return checkPage(deps, req, round, check, { values: { ...said, replaces: old.id } })
}

export const create = (deps: Deps) => (req: Request) => {
  const round = readOwnRound(deps, req)
  const form = readForm(fields, req)
  const check = checkOf(round, { tree: String(req.body.tree ?? ''), check: String(req.body.check ?? '') })
  if (!form.ok) return showAgain(deps, req, round, check, { errors: form.errors })
  const { data } = form
  const base = `/rounds/${round.record.visit.id}`
  // A reading is shown against its limit; what was seen needs no page of its own.
  const there = data.how === 'reading' ? `${base}/checks/${check.tree}/${check.slug}` : `${base}/next`
  const repeated = round.record.findings.some(finding => finding.id === data.id)
  if (repeated) return redirectAfterWrite(deps, req, data.id, there)
  stillHere(round, check, data)
  const answer = answerCheck(deps, req, round, check, data, 'round')
  if ('again' in answer) return showAgain(deps, req, round, check, answer.again)
  deps.storage.visits.addFinding(findingOf(req, round, check, data, answer.found))
  return redirectAfterWrite(deps, req, data.id, there)
}

function stillHere(round: RoundInHand, check: Check, data: Fields): void {
  if (data.replaces) {
    mustCorrectCheck(round, data.replaces, check)
    return
  }
  const { walk } = round
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
  data: Fields,
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
  return {
    ...checkPage(deps, req, round, check, { ...again, values: { ...req.body, ...again.values } }),
    status: again.values ? 200 : 400,
  }
}

function checkPage(deps: Deps, req: Request, round: RoundInHand, check: Check, again: AskedAgain): Page {
  return page('technician/rounds/round-check', {
    ...checkLocals(
      deps,
      round,
      check,
      instrumentAt(deps, req, round, check),
      again,
      `/rounds/${round.record.visit.id}`,
    ),
    round,
    place: placeInRound(round),
  })
}
