// Telling a fault: whatever page the program would show next is answered, until the fault is closed.

import { createHash } from 'node:crypto'
import { causeKey } from '../../knowledge/graph.ts'
import type { Cause, Check, End } from '../../knowledge/types.ts'
import { blockers, type ClosureDraft } from '../../walk/closing.ts'
import { type DisturbedItem, stillDisturbed } from '../../walk/disturbed.ts'
import { handoverItems, handoverSummary } from '../../walk/handover.ts'
import type { ClosureOutcome, Handover, IdentityCheck } from '../../walk/record.ts'
import { type Stage, stage, type Walked, walked } from '../../walk/stage.ts'
import { type TestMade, testsWanted } from '../../walk/tests-after-work.ts'
import { engineers, technicians } from '../railway/people.ts'
import { find, goOn, stray } from './finding.ts'
import { acceptFailure, mend, prove, putBack } from './mending.ts'
import {
  attend,
  beginAttendance,
  endAttendance,
  iso,
  made,
  newId,
  pass,
  report,
  type Scene,
  type Story,
} from './story.ts'
import * as words from './words.ts'

const BREAK_MINUTES = 45
const MOST_TURNS = 400

/** Tells a fault to its end. Throws when the plan leads nowhere: the knowledge and the plan do not agree then. */
export function tell(scene: Scene): Story {
  const story = report(scene)
  attend(story, scene.random.between(25, 150))
  for (let turn = 0; story.record.closure === null; turn++) {
    if (turn > MOST_TURNS) throw new Error(`The demo fault ${scene.faultId} does not come to an end.`)
    answer(story, stageOf(story))
  }
  return story
}

/** Tells a fault until `stop` says so, and leaves it open. */
export function tellUntil(story: Story, stop: (stage: Stage) => boolean): void {
  for (let turn = 0; turn <= MOST_TURNS; turn++) {
    const now = stageOf(story)
    if (now.kind === 'closed' || stop(now)) return
    answer(story, now)
  }
}

/** What comes next, and where the walk stands. */
type Now = Stage & Walked

function stageOf({ scene: { knowledge }, record, now }: Story): Now {
  const stands = walked(knowledge, record.fault.tree, record)
  return { ...stage(knowledge, record, iso(now), BREAK_MINUTES, stands), ...stands }
}

/** Does what the page now shown asks for. */
function answer(story: Story, now: Now): void {
  if (now.kind === 'held') release(story)
  else if (now.kind === 'identify') readPlate(story)
  else if (now.kind === 'check') atCheck(story, now, now.check)
  else if (now.kind === 'cause') atCause(story, now, now.cause)
  else if (now.kind === 'choose') goOn(story, now.walk)
  else if (now.kind === 'end') atEnd(story, now, now.end)
  else if (now.kind === 'put back') putBackFirst(story, now.open)
  else if (now.kind === 'prove') atProof(story, now)
  else if (now.kind === 'close') closeProven(story, now)
  else throw new Error(`The demo fault ${story.scene.faultId} is ${now.kind}.`)
}

function atCheck(story: Story, now: Now, check: Check): void {
  const { planned } = story.scene
  const found = story.record.findings.length
  const enough = found >= story.stopAfter
  if (planned.ending === 'cleared itself' && enough) clearsItself(story, now)
  else if (planned.ending === 'not completed' && enough) giveUp(story, now)
  else if (planned.handover && !story.had.has('handover') && found >= 1) handOver(story)
  else if (planned.departure && !story.had.has('departure') && found >= 1 && stray(story, check))
    pass(story, 1)
  else find(story, now.walk, check)
}

function atCause(story: Story, now: Now, cause: Cause): void {
  if (story.scene.planned.ending === 'not completed') giveUp(story, now)
  else mend(story, cause)
}

function atEnd(story: Story, now: Now, end: End): void {
  const clearedItself = story.scene.planned.ending === 'cleared itself'
  close(story, now, outcomeOf(end), { clearedItself, words: `${end.title}.` })
}

function outcomeOf({ means }: End): ClosureOutcome {
  if (means === 'pass on') return 'passed on'
  return means === 'not tested' ? 'not completed' : 'not reproduced'
}

function atProof(story: Story, now: Extract<Now, { kind: 'prove' }>): void {
  const { cause, items, repair } = now
  const unfinished =
    story.scene.planned.ending === 'probable cause' && items.some(item => item.state === 'passed')
  if (now.failed) acceptFailure(story, cause, items)
  else if (unfinished) closeProbable(story, now, cause, repair.words)
  else prove(story, now.walk, cause, items)
}

function putBackFirst(story: Story, open: DisturbedItem[]): void {
  const [item] = open
  if (item) putBack(story, item)
}

function closeProven(story: Story, now: Extract<Now, { kind: 'close' }>): void {
  close(story, now, 'proven cause', { cause: causeKey(now.cause), changed: now.repair.words })
}

function closeProbable(story: Story, now: Now, cause: Cause, changed: string): void {
  const words = 'Not all proofs could be done before traffic.'
  close(story, now, 'probable cause', { cause: causeKey(cause), changed, words })
}

function clearsItself(story: Story, now: Now): void {
  close(story, now, 'not reproduced', { clearedItself: true, words: 'It came back to health by itself.' })
}

function giveUp(story: Story, now: Now): void {
  close(story, now, 'not completed', { words: story.scene.random.pick(words.gaveUp) })
}

function release(story: Story): void {
  pass(story, story.scene.random.between(25, 80))
  const engineer = story.scene.random.pick(engineers)
  const own = { id: newId(story, 'release'), at: iso(story.now), by: engineer.id }
  const reason = story.scene.random.pick(words.released)
  story.record.holdReleases.push({ ...own, byName: engineer.name, reason })
  story.writes.push(storage => storage.holdReleases.add({ ...own, reason, faultId: story.record.fault.id }))
}

function readPlate(story: Story): void {
  const { plate } = story.scene.position
  if (story.scene.random.chance(0.05)) identify(story, lookAlike(plate), false)
  identify(story, plate, true)
}

function identify(story: Story, typed: string, matched: boolean): void {
  pass(story, 1)
  const identity: IdentityCheck = { ...made(story, 'identity'), typed, matched }
  story.record.identities.push(identity)
  const { byName: _name, ...written } = identity
  story.writes.push(storage => storage.identities.add({ ...written, faultId: story.record.fault.id }))
}

/** The plate of the next signal along. */
function lookAlike(plate: string): string {
  return plate.replace(/\d+/, number => String(Number(number) + 2))
}

function handOver(story: Story): void {
  story.had.add('handover')
  pass(story, 5)
  const { knowledge, random, faultId } = story.scene
  const items = handoverItems(knowledge, story.record)
  const nextStep = handoverSummary(knowledge, story.record).next
  const own = { ...made(story, 'handover'), nextStep, words: random.pick(words.handedOver) }
  const { byName: _name, ...written } = own
  story.writes.push(storage => storage.handovers.add({ ...written, faultId, items }))
  pass(story, random.between(15, 90))
  story.person = random.pick(technicians.filter(person => person.id !== own.by))
  const confirmedAt = iso(story.now)
  for (const { key } of items) {
    const confirmation = {
      id: newId(story, 'confirmation'),
      handoverId: own.id,
      key,
      by: story.person.id,
      at: confirmedAt,
    }
    story.writes.push(storage => storage.handovers.confirm(confirmation))
  }
  const accepted = { acceptedAt: confirmedAt, acceptedBy: story.person.id, withdrawnAt: null }
  const confirmed: Handover['items'] = items.map(item => ({ ...item, confirmedAt }))
  story.record.handovers.push({ ...own, items: confirmed, ...accepted })
  endAttendance(story, 'handed over')
  const {
    personName: _person,
    endedAt: _at,
    endedHow: _how,
    endedWords: _words,
    ...attendance
  } = beginAttendance(story)
  story.writes.push(storage => storage.handovers.accept({ handoverId: own.id, attendance }))
}

/** Puts back what is still open, then signs. Throws when the program would not let it be signed. */
function close(story: Story, now: Now, outcome: ClosureOutcome, given: Partial<ClosureDraft>): void {
  for (const item of stillDisturbed(now.disturbed)) putBack(story, item)
  pass(story, story.scene.random.between(3, 10))
  const base = {
    outcome,
    cause: null,
    clearedItself: false,
    changed: 'Nothing.',
    words: 'In order when I left.',
  }
  const draft: ClosureDraft = { ...base, ...given, testsAfterWork: testsOf(story, now, outcome) }
  const reasons = blockers(story.scene.knowledge, story.record, draft)
  if (reasons.length > 0)
    throw new Error(`The demo fault ${story.scene.faultId} can't close: ${reasons.join(' ')}`)
  const closure = { ...made(story, 'closure'), ...draft }
  const { byName: _name, ...written } = closure
  const contentHash = createHash('sha256')
    .update(JSON.stringify([story.record, written]))
    .digest('hex')
  const signed = { id: newId(story, 'signature'), printedName: story.person.name, meaning, contentHash }
  endAttendance(story, 'closed')
  story.record.closure = closure
  story.record.signatures.push({ ...signed, at: closure.at, by: closure.by, unseen: [] })
  story.writes.push(storage => storage.closures.add({ ...written, faultId: story.record.fault.id }, signed))
}

/** The tests after work, each passed: the technician's by the story's own person, the others by a colleague. */
function testsOf(story: Story, now: Now, outcome: ClosureOutcome): TestMade[] {
  const { place } = now.walk
  if (outcome !== 'proven cause' || place.kind !== 'cause') return []
  const colleague = technicians.find(one => one.id !== story.person.id)?.name ?? ''
  return testsWanted(story.scene.knowledge, place.cause).map(({ test, by }) => ({
    test,
    by,
    madeBy: by === 'technician' ? story.person.name : colleague,
  }))
}

const meaning = 'I did this work and tested it.'
