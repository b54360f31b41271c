// Where a walk stands: a pure function of the fault tree and the findings, corrections settled first. Nothing here reads
// a clock.

import { causeKey, findCause, findCheck, findEnd, reachable, refKey, refOf } from '../knowledge/graph.ts'
import type { Cause, Check, End, Knowledge, Row, Target } from '../knowledge/types.ts'
import { explainDeparture, explainFinding, explainRejection } from './because.ts'
import type { CheckFinding, DepartureFinding, Finding, RejectionFinding } from './record.ts'
import { rowOf } from './row.ts'

export type Place =
  | { kind: 'check'; check: Check }
  | { kind: 'cause'; cause: Cause }
  | { kind: 'end'; end: End }
  /**
   * The cause `after` was ruled out: the technician picks where
   * to go on. `offers` are the checks not done yet.
   */
  | { kind: 'choose'; after: string; offers: Check[] }
  /** The edition does not hold what the walk points at. */
  | { kind: 'lost'; message: string }

export type Step =
  | {
      kind: 'check'
      check: Check
      finding: CheckFinding
      /** null: no row fits, so the walk stays at this check until a row is chosen. */
      row: Row | null
      next: Place
      /** "96.4 V AC is below 99 to 121 V AC, so: Nothing arrives." */
      because: string
      /** Another row was taken than the one the finding points at. */
      deviation: boolean
      /** A row was chosen where the finding points at none. */
      judgement: boolean
    }
  | {
      kind: 'departure'
      from: string
      finding: DepartureFinding
      next: Place
      because: string
      deviation: boolean
    }
  | {
      kind: 'rejection'
      cause: string
      finding: RejectionFinding
      next: Place
      because: string
      deviation: false
    }

export type CheckStep = Extract<Step, { kind: 'check' }>

export interface Walk {
  place: Place
  path: Step[]
  /** Findings that stand but that the path did not come by. */
  offPath: Finding[]
  struck: Struck[]
  /** Causes ruled out, as `equipment/cause`, first ruled out first. */
  rejected: string[]
}

/**
 * Follows the findings from the start of `tree` (a slug) to where the technician stands. Corrections are
 * settled first; then each place takes the first finding made there that no earlier turn has used, until one
 * has none. Never throws: what the edition does not know is `lost`, or is listed in `offPath`.
 */
export function walk(knowledge: Knowledge, tree: string, findings: Finding[]): Walk {
  const { effective, struck } = effectiveFindings(findings)
  const waiting = new Set(effective)
  const path: Step[] = []
  const done = new Set<string>()
  let place = startOf(knowledge, tree)
  for (let step = nextStep(knowledge, tree, place, waiting, done); step; ) {
    waiting.delete(step.finding)
    path.push(step)
    if (step.kind === 'check') done.add(refKey(step.finding.check))
    place = step.next
    step = nextStep(knowledge, tree, place, waiting, done)
  }
  return { place, path, offPath: [...waiting], struck, rejected: rejectedCauses(effective) }
}

/** What a departure from here gives as `from`, and a page's address as its last part. */
export function placeKey(place: Place): string {
  switch (place.kind) {
    case 'check':
      return refKey(refOf(place.check))
    case 'cause':
      return causeKey(place.cause)
    case 'end':
      return `${place.end.tree}#${place.end.slug}`
    case 'choose':
      return `choose:${place.after}`
    case 'lost':
      return 'lost'
  }
}

/** A place as a title, for lists and sentences. */
export function placeName(place: Place): string {
  switch (place.kind) {
    case 'check':
      return `“${place.check.title}”`
    case 'cause':
      return `the cause “${place.cause.title}”`
    case 'end':
      return `“${place.end.title}”`
    case 'choose':
      return 'the choice of the next check'
    case 'lost':
      return 'a place this edition does not hold'
  }
}

/** The place a row's link leads to. */
function placeOf(knowledge: Knowledge, target: Target): Place {
  switch (target.kind) {
    case 'check': {
      const check = findCheck(knowledge, target)
      return check ? { kind: 'check', check } : lost(`the check “${target.check}” of “${target.tree}”`)
    }
    case 'cause': {
      const cause = findCause(knowledge, target)
      return cause ? { kind: 'cause', cause } : lost(`the cause “${target.cause}” of “${target.equipment}”`)
    }
    case 'end': {
      const end = findEnd(knowledge, target)
      return end ? { kind: 'end', end } : lost(`the end “${target.end}” of “${target.tree}”`)
    }
  }
}

function startOf(knowledge: Knowledge, tree: string): Place {
  const start = knowledge.trees.get(tree)?.start
  return start ? placeOf(knowledge, { kind: 'check', ...start }) : lost(`the fault tree “${tree}”`)
}

function lost(what: string): Place {
  return { kind: 'lost', message: `This edition of the knowledge does not hold ${what}.` }
}

function nextStep(
  knowledge: Knowledge,
  tree: string,
  place: Place,
  waiting: Set<Finding>,
  done: Set<string>,
): Step | null {
  for (const finding of waiting) {
    const step = stepBy(knowledge, tree, place, finding, done)
    if (step) return step
  }
  return null
}

/** The step this finding makes from here, or null when it was not made here. */
function stepBy(
  knowledge: Knowledge,
  tree: string,
  place: Place,
  finding: Finding,
  done: Set<string>,
): Step | null {
  const here = placeKey(place)
  switch (finding.kind) {
    case 'departure':
      return finding.from === here ? departure(knowledge, place, finding) : null
    case 'rejection': {
      const ruledOut = place.kind === 'cause' && finding.cause === here
      return ruledOut ? rejection(knowledge, tree, place.cause, finding, done) : null
    }
    case 'reading':
    case 'observation':
    case 'cannot tell': {
      const madeHere = place.kind === 'check' && refKey(finding.check) === here
      return madeHere ? checkStep(knowledge, place.check, finding) : null
    }
  }
}

function checkStep(knowledge: Knowledge, check: Check, finding: CheckFinding): Step {
  const { row, pointedAt } = rowOf(check, finding)
  const next: Place = row ? placeOf(knowledge, row.next) : { kind: 'check', check }
  const deviation = row !== null && pointedAt !== null && row !== pointedAt
  const judgement = row !== null && pointedAt === null
  const because = explainFinding(check, finding, row, pointedAt)
  return { kind: 'check', check, finding, row, next, because, deviation, judgement }
}

/** A departure to a check the edition does not know is no step: better to stay than to be led nowhere. */
function departure(knowledge: Knowledge, from: Place, finding: DepartureFinding): Step | null {
  const check = findCheck(knowledge, finding.to)
  if (!check) return null
  const because = explainDeparture(placeName(from), check, finding)
  const next: Place = { kind: 'check', check }
  return { kind: 'departure', from: finding.from, finding, next, because, deviation: !finding.suggested }
}

function rejection(
  knowledge: Knowledge,
  tree: string,
  cause: Cause,
  finding: RejectionFinding,
  done: Set<string>,
): Step {
  const start = knowledge.trees.get(tree)
  const checks = start ? reachable(knowledge, start).checks : []
  const offers = checks.filter(check => !done.has(refKey(refOf(check))))
  const next: Place = { kind: 'choose', after: finding.cause, offers }
  const because = explainRejection(cause, finding)
  return { kind: 'rejection', cause: finding.cause, finding, next, because, deviation: false }
}

function rejectedCauses(effective: Finding[]): string[] {
  const causes = effective.flatMap(finding => (finding.kind === 'rejection' ? [finding.cause] : []))
  return [...new Set(causes)]
}

/**
 * True at a check that takes something apart, and at a cause: mending, putting back and proving act on it.
 */
export function acts(place: Place): boolean {
  return place.kind === 'cause' || (place.kind === 'check' && place.check.disturbs !== null)
}

/** A finding that was corrected stays on record, struck; `by` takes its place. */
export interface Struck {
  old: Finding
  by: Finding
}

/**
 * The findings that stand, in the order in which the things they speak of were first found. Chains are
 * followed to their end. A correction of a finding that is not on record counts as a finding of its own.
 */
export function effectiveFindings(findings: Finding[]): { effective: Finding[]; struck: Struck[] } {
  const ordered = inOrder(findings)
  const byId = new Map(ordered.map(finding => [finding.id, finding]))
  const correctionOf = new Map<string, Finding>()
  const struck: Struck[] = []
  for (const finding of ordered) {
    const old = finding.replaces === null ? undefined : byId.get(finding.replaces)
    if (!old || old.seq >= finding.seq) continue
    correctionOf.set(old.id, finding)
    struck.push({ old, by: finding })
  }
  const corrections = new Set(struck.map(pair => pair.by))
  const effective = ordered
    .filter(finding => !corrections.has(finding))
    .map(finding => lastWord(finding, correctionOf))
  return { effective, struck }
}

/** By order of arrival; the same id sent twice counts once. */
function inOrder(findings: Finding[]): Finding[] {
  const unique = new Map<string, Finding>()
  for (const finding of [...findings].sort((a, b) => a.seq - b.seq)) {
    if (!unique.has(finding.id)) unique.set(finding.id, finding)
  }
  return [...unique.values()]
}

function lastWord(finding: Finding, correctionOf: Map<string, Finding>): Finding {
  const correction = correctionOf.get(finding.id)
  return correction ? lastWord(correction, correctionOf) : finding
}
