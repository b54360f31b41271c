// What the record says about each check: how often it was
// reached, what it did for the suspicion, where its rows led.

import { findCauseByKey, reachableFrom, refKey, refOf, targetKey } from '../../knowledge/graph.ts'
import type { Check, Knowledge, Row } from '../../knowledge/types.ts'
import { type CheckStep, type Walk, walk } from '../../walk/place.ts'
import type { FaultRecord, Finding } from '../../walk/record.ts'
import { noHistory } from '../ranking/cause-counts.ts'
import { rank } from '../ranking/rank.ts'

export interface RowEvidence {
  label: string
  taken: number
  /** Taken, and the cause proved in the end lies behind it. */
  confirmed: number
  /** Taken, and the cause proved in the end lies elsewhere, or a cause right behind it was ruled out. */
  reversed: number
}

export interface CheckEvidence {
  reached: number
  /** The likeliest cause changed with it. */
  changedSuspicion: number
  rows: RowEvidence[]
  /** Minutes from the finding before to this one, the middle of those known; null when none is. */
  minutes: { middle: number; n: number } | null
  deviations: number
  /** Why another row was chosen or the path was left here, newest last. */
  reasons: string[]
}

export interface WalkedRecord {
  record: FaultRecord
  /** The knowledge it was walked on. */
  knowledge: Knowledge
}

/**
 * By `tree#check`. Records of one fault each, oldest first; a
 * pause longer than `longestMinutes` tells nothing of the check.
 */
export function checkEvidence(walked: WalkedRecord[]): Map<string, CheckEvidence> {
  const byCheck = new Map<string, Gathered>()
  const behind = behindRows()
  for (const { record, knowledge } of walked) {
    const where = walk(knowledge, record.fault.tree, record.findings)
    const shifts = suspicionShifts(knowledge, record, where)
    for (const step of where.path) {
      if (step.kind === 'departure') noteDeparture(byCheck, step.from, step.finding)
      if (step.kind !== 'check') continue
      const gathered = gatheredAt(byCheck, step.check)
      gathered.reached += 1
      if (shifts.has(step.finding.id)) gathered.changedSuspicion += 1
      noteRow(gathered, step, record, row => behind(knowledge, row))
      const minutes = minutesOf(record, step.finding)
      if (minutes !== null) gathered.times.push(minutes)
      if (!step.deviation && !step.judgement) continue
      gathered.deviations += Number(step.deviation)
      if (step.finding.reason) gathered.reasons.push(step.finding.reason)
    }
  }
  return new Map(
    [...byCheck].map(([key, { times, rows, ...rest }]) => [
      key,
      { ...rest, rows: [...rows.values()], minutes: middleOf(times) },
    ]),
  )
}

export const longestMinutes = 90

interface Gathered extends Omit<CheckEvidence, 'rows' | 'minutes'> {
  rows: Map<string, RowEvidence>
  times: number[]
}

function gatheredAt(byCheck: Map<string, Gathered>, check: Check): Gathered {
  const key = refKey(refOf(check))
  const gathered = byCheck.get(key) ?? fresh()
  byCheck.set(key, gathered)
  return gathered
}

function fresh(): Gathered {
  return { reached: 0, changedSuspicion: 0, rows: new Map(), times: [], deviations: 0, reasons: [] }
}

function noteDeparture(
  byCheck: Map<string, Gathered>,
  from: string,
  finding: { suggested: boolean; reason: string | null },
) {
  if (!from.includes('#') || finding.suggested) return
  const gathered = byCheck.get(from) ?? fresh()
  byCheck.set(from, gathered)
  gathered.deviations += 1
  if (finding.reason) gathered.reasons.push(finding.reason)
}

function noteRow(
  gathered: Gathered,
  { row }: CheckStep,
  record: FaultRecord,
  behind: (row: Row) => Set<string>,
) {
  if (!row) return
  const { label } = row
  const entry = gathered.rows.get(label) ?? { label, taken: 0, confirmed: 0, reversed: 0 }
  gathered.rows.set(label, entry)
  entry.taken += 1
  const proven = record.closure?.outcome === 'proven cause' ? record.closure.cause : null
  const causes = behind(row)
  const ruledOut = record.findings.some(
    finding =>
      finding.kind === 'rejection' && row.next.kind === 'cause' && finding.cause === targetKey(row.next),
  )
  if (proven !== null && causes.has(proven)) entry.confirmed += 1
  else if (ruledOut || (proven !== null && causes.size > 0)) entry.reversed += 1
}

/** Causes still reachable by a row, cached. */
function behindRows(): (knowledge: Knowledge, row: Row) => Set<string> {
  const cache = new WeakMap<Row, Set<string>>()
  return (knowledge, row) => {
    const cached = cache.get(row)
    if (cached) return cached
    const { next } = row
    const targets = next.kind === 'check' ? [...reachableFrom(knowledge, next).values()] : [next]
    const causes = new Set(targets.filter(target => target.kind === 'cause').map(targetKey))
    cache.set(row, causes)
    return causes
  }
}

/**
 * Ids of the findings after which another cause was the
 * likeliest. Without history, so that only the findings speak.
 */
function suspicionShifts(
  knowledge: Knowledge,
  { fault, findings }: FaultRecord,
  { path }: Walk,
): Set<string> {
  const shifts = new Set<string>()
  const options = { intermittent: fault.intermittent }
  const upTo: Finding[] = []
  let likeliestBefore = likeliest(knowledge, fault.tree, upTo, options)
  for (const step of path) {
    upTo.push(step.finding)
    const after = likeliest(knowledge, fault.tree, upTo, options)
    if (after !== likeliestBefore) shifts.add(step.finding.id)
    likeliestBefore = after
  }
  return findings.length === 0 ? new Set() : shifts
}

function likeliest(
  knowledge: Knowledge,
  tree: string,
  findings: Finding[],
  options: { intermittent: boolean },
) {
  const first = rank(knowledge, tree, findings, noHistory, options).causes[0]?.cause
  return first ? `${first.equipment}/${first.slug}` : null
}

function minutesOf({ findings, attendances }: FaultRecord, finding: Finding): number | null {
  const same = findings.filter(one => one.attendanceId === finding.attendanceId && one.seq < finding.seq)
  const began = attendances.find(one => one.id === finding.attendanceId)?.startedAt
  const from = same.at(-1)?.at ?? began
  if (from === undefined) return null
  const minutes = (Date.parse(finding.at) - Date.parse(from)) / 60_000
  return minutes >= 0 && minutes <= longestMinutes ? minutes : null
}

function middleOf(times: number[]): CheckEvidence['minutes'] {
  if (times.length === 0) return null
  const sorted = [...times].sort((a, b) => a - b)
  const half = Math.floor((sorted.length - 1) / 2)
  const upper = Math.ceil((sorted.length - 1) / 2)
  return { middle: ((sorted[half] ?? 0) + (sorted[upper] ?? 0)) / 2, n: sorted.length }
}

export interface EndEvidence {
  cause: string
  title: string
  /** Checks and minutes on the shortest path are the tree's own; these are counted. */
  reached: number
  confirmed: number
  reversed: number
}

/** How often walks reached each cause, and how many of them were confirmed. By `equipment/cause`. */
export function endEvidence(walked: WalkedRecord[]): Map<string, EndEvidence> {
  const byCause = new Map<string, EndEvidence>()
  for (const { record, knowledge } of walked) {
    const { path } = walk(knowledge, record.fault.tree, record.findings)
    const met = new Set(
      path.flatMap(({ next }) =>
        next.kind === 'cause' ? [`${next.cause.equipment}/${next.cause.slug}`] : [],
      ),
    )
    for (const cause of met) {
      const title = findCauseByKey(knowledge, cause)?.title ?? cause
      const entry = byCause.get(cause) ?? { cause, title, reached: 0, confirmed: 0, reversed: 0 }
      byCause.set(cause, entry)
      entry.reached += 1
      const { closure, findings } = record
      if (closure?.outcome === 'proven cause' && closure.cause === cause) entry.confirmed += 1
      if (findings.some(finding => finding.kind === 'rejection' && finding.cause === cause))
        entry.reversed += 1
    }
  }
  return byCause
}
