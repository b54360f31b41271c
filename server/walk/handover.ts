// What the next technician must know, built from the record: what comes next first, the history last.

import { causeKey, findCauseByKey, refKey, refOf } from '../knowledge/graph.ts'
import type { Knowledge } from '../knowledge/types.ts'
import { type DisturbedItem, disturbed, stillDisturbed } from './disturbed.ts'
import { type NarratedRow, narrate } from './narrate.ts'
import { type Place, placeName, type Walk, walk } from './place.ts'
import { type ProofItem, proofsNeeded, repairOf } from './proof.ts'
import { protectionWords } from './protection.ts'
import type { FaultRecord, Handover } from './record.ts'
import { held, openAttendance } from './stage.ts'

export interface HandoverItem {
  key: string
  text: string
}

export interface HandoverSummary {
  next: string
  /** Sentences: protection, hold, where the walk stands. */
  state: string[]
  openProofs: ProofItem[]
  disturbed: DisturbedItem[]
  /** Titles of the causes ruled out. */
  excluded: string[]
  history: NarratedRow[]
}

/** What stands disturbed and is in none of the handover's items: it was disturbed after it was written. */
export function notInHandover(handover: Handover, open: DisturbedItem[]): HandoverItem[] {
  const named = new Set(handover.items.map(({ key }) => key))
  return disturbedItems(open).filter(({ key }) => !named.has(key))
}

/** Each disturbed item in words, under its own key. */
export function disturbedItems(open: DisturbedItem[]): HandoverItem[] {
  return open.map(item => ({ key: item.key, text: disturbedText(item) }))
}

/** What the incoming person confirms, item by item. A disturbed item keeps its own key. */
export function handoverItems(knowledge: Knowledge, record: FaultRecord): HandoverItem[] {
  const summary = handoverSummary(knowledge, record)
  const where = walk(knowledge, record.fault.tree, record.findings)
  return [
    { key: 'next', text: `Next: ${summary.next}` },
    ...summary.state.map((text, i) => ({ key: `state:${i + 1}`, text })),
    ...disturbedItems(summary.disturbed),
    ...summary.openProofs.map(item => ({ key: proofKey(item), text: proofText(item) })),
    ...where.rejected.map(key => ({ key: `excluded:${key}`, text: `Ruled out: ${titleOf(knowledge, key)}` })),
  ]
}

export function handoverSummary(knowledge: Knowledge, record: FaultRecord): HandoverSummary {
  const where = walk(knowledge, record.fault.tree, record.findings)
  const open = stillDisturbed(disturbed(knowledge, where, record))
  const openProofs = mended(where.place, record)
    ? proofsNeeded(knowledge, where, record).filter(item => item.state !== 'passed')
    : []
  return {
    next: nextThing(where, record, open, openProofs),
    state: stateNow(where, record),
    openProofs,
    disturbed: open,
    excluded: where.rejected.map(key => titleOf(knowledge, key)),
    history: narrate(knowledge, record.fault.tree, record),
  }
}

function nextThing(where: Walk, record: FaultRecord, open: DisturbedItem[], openProofs: ProofItem[]): string {
  const { place } = where
  switch (place.kind) {
    case 'check':
      return `do the check ${placeName(place)}`
    case 'choose':
      return 'choose the check to go on with'
    case 'end':
      return open.length > 0 ? 'put back what is open, then close' : 'close the fault'
    case 'lost':
      return place.message
    case 'cause':
      if (!mended(place, record)) return `repair ${placeName(place)}`
      return open.length > 0
        ? 'put back what is open'
        : (openProofs[0] && proofText(openProofs[0])) || 'close the fault'
  }
}

function mended(place: Place, record: FaultRecord): boolean {
  return place.kind === 'cause' && repairOf(record, causeKey(place.cause)) !== null
}

function stateNow(where: Walk, record: FaultRecord): string[] {
  const attendance = record.attendances.at(-1)
  const hold = held(where, record)
  const states = [protectionWords[record.fault.protection]]
  if (attendance) {
    states.push(`Protection from trains: ${attendance.protectionWords}`)
    states.push(`Isolated: ${attendance.isolationWords}`)
  }
  if (hold) states.push(`Evidence hold: ${hold.why}`)
  return states
}

function disturbedText(item: DisturbedItem): string {
  const where = item.check ? ` (“${item.check.title}”)` : ''
  return item.state === 'perhaps'
    ? `Perhaps disturbed: ${item.item}${where}`
    : `Disturbed: ${item.item}${where}`
}

function proofKey(item: ProofItem): string {
  return item.kind === 'symptom' ? 'prove:symptom' : `prove:${refKey(refOf(item.check))}`
}

function proofText(item: ProofItem): string {
  const what =
    item.kind === 'symptom' ? `that the symptom is gone (${item.symptom})` : `“${item.check.title}”`
  return item.state === 'failed' ? `failed proof: ${what}` : `prove ${what}`
}

function titleOf(knowledge: Knowledge, key: string): string {
  return findCauseByKey(knowledge, key)?.title ?? key
}

export interface Resume {
  /** Whole minutes since the last entry, or since the attendance began; never negative. */
  awayMinutes: number
  /** Null when nothing is on record yet. Worth looking at again. */
  lastDone: NarratedRow | null
  firstNotDone: string
}

/** `now` is UTC ISO text. */
export function resume(knowledge: Knowledge, record: FaultRecord, now: string): Resume {
  const { history, next } = handoverSummary(knowledge, record)
  const lastDone = history.at(-1) ?? null
  const began = openAttendance(record)?.startedAt ?? record.fault.reportedAt
  const since = lastDone && lastDone.at > began ? lastDone.at : began
  const awayMinutes = Math.max(0, Math.floor((Date.parse(now) - Date.parse(since)) / 60_000))
  return { awayMinutes, lastDone, firstNotDone: next }
}
