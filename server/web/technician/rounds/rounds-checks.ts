import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { findCheck, refKey } from '../../../knowledge/graph.ts'
import { matchRow } from '../../../knowledge/match.ts'
import type { Check } from '../../../knowledge/types.ts'
import type { NewVisitFinding } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { type Page, page, redirect, redirectAfterWrite } from '../../host/answer.ts'
import { readForm } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { type AskedAgain, checkLocals } from '../check/check-page.ts'
import { expectedBar } from '../check/expected-bar.ts'
import { readingWords } from '../check/found-reading.ts'
import { stepVerdict } from '../check/found-words.ts'
import { judgeTyped, measures } from '../check/judged.ts'
import { anotherReading, fieldsOf, findingFields, gateFields } from '../check/reading-fields.ts'
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
type Answer = { finding: NewVisitFinding } | { again: AskedAgain }

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
    ...{ title: check.title, check, round, step: done, place: placeInRound(round) },
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
  if (data.how === 'another') return showAgain(deps, req, round, check, anotherReading(data))
  const answer = answerOf(deps, req, round, check, data)
  if ('again' in answer) return showAgain(deps, req, round, check, answer.again)
  deps.storage.visits.addFinding(answer.finding)
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

function answerOf(deps: Deps, req: Request, round: RoundInHand, check: Check, data: Found): Answer {
  const chosenRow = check.rows.some(row => row.label === data.row) ? data.row : null
  const { id, reason, note } = data
  const base = {
    ...{ id, visitId: round.record.visit.id, by: person(req).id, reason, note, chosenRow },
    check: { tree: check.tree, check: check.slug },
    replaces: data.replaces || null,
  }
  if (data.replaces && !reason) return { again: { errors: { reason: 'Say why you correct it.' } } }
  if (data.how === 'cannot tell') {
    const decides = matchRow(check, { kind: 'cannot tell' }) !== null
    if (!decides && !(chosenRow && reason)) return { again: unclear(chosenRow) }
    return { finding: { ...base, kind: 'cannot tell' } }
  }
  if (data.how === 'reading' && measures(check)) return reading(deps, req, round, check, data, base)
  const row = matchRow(check, { kind: 'word', word: data.word })
  return row && !measures(check)
    ? { finding: { ...base, kind: 'observation', word: data.word, chosenRow: null } }
    : { again: { errors: { word: 'Choose what you see.' } } }
}

type Base = Omit<Extract<NewVisitFinding, { kind: 'cannot tell' }>, 'kind'>

function reading(
  deps: Deps,
  req: Request,
  round: RoundInHand,
  check: Parameters<typeof judgeTyped>[1],
  data: Found,
  base: Base,
): Answer {
  const instrument = chosenInstrument(deps, req)
  const judged = judgeTyped(round.asWalked, check, { ...data, instrument }, req.body)
  if (!judged.ok) return { again: 'errors' in judged ? { errors: judged.errors } : { question: judged } }
  const { text, reading: read, range, verdict, taken } = judged
  const row = matchRow(check, { kind: 'reading', reading: read, range, verdict })
  if (!row && !base.chosenRow) return { again: { chooseRow: noLimit } }
  const note = judged.unusual ? ['Confirmed unusual.', data.note].filter(Boolean).join(' ') : data.note
  const own = { kind: 'reading' as const, text, reading: read, range, verdict, taken }
  return { finding: { ...base, ...own, note, instrument: instrument?.id ?? null } }
}

const noLimit = 'There is no limit to judge this by. Choose the row by your own instructions.'

function unclear(chosenRow: string | null): AskedAgain {
  if (chosenRow)
    return { chooseRow: 'Say why you go this way.', errors: { reason: 'Say why you go this way.' } }
  return { chooseRow: 'The round has no row for this. Choose where to go by your own judgement.' }
}

function showAgain(deps: Deps, req: Request, round: RoundInHand, check: Check, again: AskedAgain): Page {
  return { ...checkPage(deps, req, round, check, { values: req.body, ...again }), status: 400 }
}

function checkPage(deps: Deps, req: Request, round: RoundInHand, check: Check, again: AskedAgain): Page {
  return page('technician/rounds/round-check', {
    ...checkLocals(deps, round.asWalked, check, chosenInstrument(deps, req), again),
    ...{ round, place: placeInRound(round) },
  })
}
