// What the walk took off, out or across, and what of it is back. Each item wants its own restoration.

import { findCheck, refKey, refOf } from '../knowledge/graph.ts'
import type { Check, CheckRef, Knowledge } from '../knowledge/types.ts'
import { type Place, placeKey, type Walk } from './place.ts'
import type { Finding, Restoration, WalkEntries } from './record.ts'

export interface DisturbedItem {
  /** `finding:ID`, `proof:ID`, `item:ID`, or `place:TREE#CHECK` for the check now in hand. */
  key: string
  /** What was disturbed, in words. */
  item: string
  check: Check | null
  since: string
  /**
   * `perhaps`: not recorded, but the technician stood at a check that disturbs it. It must be answered too.
   */
  state: 'open' | 'perhaps' | 'restored' | 'never disturbed'
  restoration: Restoration | null
}

type Loose = Omit<DisturbedItem, 'state' | 'restoration'> & { perhaps: boolean }

/** Everything disturbed so far, oldest first, restored or not. */
export function disturbed(knowledge: Knowledge, walk: Walk, record: WalkEntries): DisturbedItem[] {
  const loose = [
    ...byFindings(knowledge, record),
    ...byProofs(knowledge, record),
    ...byHand(record),
    ...byStanding(walk, record),
  ]
  const restorations = new Map(record.restorations.map(entry => [entry.itemKey, entry]))
  return loose
    .sort((a, b) => compare(a.since, b.since))
    .map(item => settle(item, restorations.get(item.key) ?? null))
}

/** Those still waiting for an answer. */
export function stillDisturbed(items: DisturbedItem[]): DisturbedItem[] {
  return items.filter(item => item.state === 'open' || item.state === 'perhaps')
}

/** All findings, corrected or off the path too: striking out a finding puts nothing back. */
function byFindings(knowledge: Knowledge, record: WalkEntries): Loose[] {
  const identifiedFrom = firstIdentity(record)
  const checkOf = new Map(record.findings.map(finding => [finding.id, checkKeyOf(finding)]))
  return record.findings.flatMap(finding => {
    const key = checkKeyOf(finding)
    // A correction at the same check speaks of the same disturbance.
    if (key === null || (finding.replaces !== null && checkOf.get(finding.replaces) === key)) return []
    const leaving = finding.kind === 'departure'
    // The check is only shown once the equipment is identified; leaving before that disturbs nothing.
    if (leaving && !(identifiedFrom !== null && identifiedFrom <= finding.at)) return []
    if (leaving && answeredOnLeaving(record, key, finding)) return []
    const perhaps = leaving || finding.kind === 'cannot tell'
    return loosenedAt(knowledge, key, `finding:${finding.id}`, finding.at, perhaps)
  })
}

/** Whether the check left was said to be back, or never touched, since the finding before. */
function answeredOnLeaving(record: WalkEntries, checkKey: string, leaving: Finding): boolean {
  const earlierTimes = record.findings.filter(finding => finding.seq < leaving.seq).map(finding => finding.at)
  const since = earlierTimes.sort(compare).at(-1) ?? ''
  return record.restorations.some(
    ({ itemKey, at }) =>
      `${itemKey}:`.startsWith(`place:${checkKey}:`) && at >= since && compare(at, leaving.at) <= 0,
  )
}

function checkKeyOf(finding: Finding): string | null {
  switch (finding.kind) {
    case 'reading':
    case 'observation':
    case 'cannot tell':
      return refKey(finding.check)
    case 'departure':
      return finding.from
    case 'rejection':
      return null
  }
}

/** A proof repeats its check, and with it what the check takes apart. */
function byProofs(knowledge: Knowledge, record: WalkEntries): Loose[] {
  return record.proofs.flatMap(proof =>
    proof.kind === 'symptom'
      ? []
      : loosenedAt(knowledge, refKey(proof.check), `proof:${proof.id}`, proof.at, false),
  )
}

function byHand(record: WalkEntries): Loose[] {
  return record.disturbances.map(({ id, item, at }) => ({
    key: `item:${id}`,
    item,
    check: null,
    since: at,
    perhaps: false,
  }))
}

/** The check in hand may be half done already, from the moment the equipment was identified. */
function byStanding(walk: Walk, record: WalkEntries): Loose[] {
  const { place } = walk
  const since = firstIdentity(record)
  if (place.kind !== 'check' || place.check.disturbs === null || since === null) return []
  const arrived = walk.path.at(-1)?.finding.at ?? since
  const item = place.check.disturbs
  return [
    {
      key: standingKey(walk, place),
      item,
      check: place.check,
      since: later(arrived, since),
      perhaps: true,
    },
  ]
}

/** Coming round to a check again is another item: the first restoration does not cover it. */
function standingKey(walk: Walk, place: Extract<Place, { kind: 'check' }>): string {
  const here = refKey(refOf(place.check))
  const turns = walk.path.filter(step => leftFrom(step) === here).length
  return turns === 0 ? `place:${here}` : `place:${here}:${turns + 1}`
}

function leftFrom(step: Walk['path'][number]): string {
  switch (step.kind) {
    case 'check':
      return placeKey({ kind: 'check', check: step.check })
    case 'departure':
      return step.from
    case 'rejection':
      return step.cause
  }
}

function loosenedAt(knowledge: Knowledge, checkKey: string, key: string, at: string, perhaps: boolean) {
  const check = findCheck(knowledge, refFrom(checkKey))
  if (!check || check.disturbs === null) return []
  return [{ key, item: check.disturbs, check, since: at, perhaps }]
}

function refFrom(key: string): CheckRef {
  const hash = key.indexOf('#')
  return { tree: key.slice(0, hash), check: key.slice(hash + 1) }
}

function firstIdentity(record: WalkEntries): string | null {
  const times = record.identities.filter(entry => entry.matched).map(entry => entry.at)
  return times.sort(compare)[0] ?? null
}

function settle({ perhaps, ...item }: Loose, restoration: Restoration | null): DisturbedItem {
  if (restoration) return { ...item, state: restoration.how, restoration }
  return { ...item, state: perhaps ? 'perhaps' : 'open', restoration: null }
}

function later(a: string, b: string): string {
  return compare(a, b) < 0 ? b : a
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}
