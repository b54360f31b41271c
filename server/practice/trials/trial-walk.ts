// One hidden fault walked as a technician would who takes the tree's order, or every suggestion.

import { type NextCheck, nextCheck } from '../../diagnosis/ordering/next-check.ts'
import { type CauseCounts, outsideKey } from '../../diagnosis/ranking/cause-counts.ts'
import { type Ranking, rank } from '../../diagnosis/ranking/rank.ts'
import { usualMinutes } from '../../diagnosis/ranking/strengths.ts'
import { causeKey, refKey, refOf } from '../../knowledge/graph.ts'
import type { Check, Knowledge } from '../../knowledge/types.ts'
import { placeKey, type Walk, walk } from '../../walk/place.ts'
import type { CheckFinding, Finding } from '../../walk/record.ts'
import { rowOf } from '../../walk/row.ts'
import type { Chance } from '../chance.ts'
import { type Going, makeCheck } from '../robot.ts'
import { type Hidden, healthyAt } from '../worlds.ts'
import type { TrialWorld } from './trial-worlds.ts'

/** A chance that stood on the page, and whether it came true. */
export interface Stated {
  chance: number
  true: boolean
}

export interface TrialWalk {
  /** `cause`: a true cause was mended. `outside`: ended as something the tree does not hold. */
  end: 'cause' | 'outside' | 'given up'
  /** Of checks, ways in, and repairs that mended nothing. */
  minutes: number
  checks: number
  /** Of whatever stood first, at each step. */
  first: Stated[]
  /** Each cause that was mended, in turn, with the chance that stood beside it. */
  mended: Stated[]
}

export interface TrialFault {
  hidden: Hidden
  /** `equipment/cause` of all that is wrong. */
  causes: string[]
  history: CauseCounts
  world: TrialWorld
}

export type Follows = 'author' | 'suggestions'

interface Trial extends TrialFault {
  knowledge: Knowledge
  follows: Follows
  chance: Chance
  going: Going
  opened: Set<string>
  /** Checks, as `tree#check`, that could not be made. */
  barred: Set<string>
  walked: TrialWalk
}

const MOST_STEPS = 60
const MOST_REPAIRS = 4

/** Walks to the true cause, to an end of the tree, or until four repairs mended nothing. */
export function trialWalk(
  knowledge: Knowledge,
  fault: TrialFault,
  follows: Follows,
  chance: Chance,
): TrialWalk {
  const trial = begun(knowledge, fault, follows, chance)
  const { walked } = trial
  for (let step = 0; step < MOST_STEPS; step++) {
    const end = stepOf(trial)
    if (end) return { ...walked, end }
    if (walked.mended.length >= MOST_REPAIRS) break
  }
  return walked
}

function begun(knowledge: Knowledge, fault: TrialFault, follows: Follows, chance: Chance): Trial {
  const { hidden, world } = fault
  const going: Going = {
    ...{ knowledge, world: hidden.world, chance, scatter: world.scatter, state: hidden.state },
    ...{ findings: [], path: [], unknown: [] },
  }
  const walked: TrialWalk = { end: 'given up', minutes: 0, checks: 0, first: [], mended: [] }
  return { ...fault, knowledge, follows, chance, going, opened: new Set(), barred: new Set(), walked }
}

/** One check or one repair; where the walk ended, how. */
function stepOf(trial: Trial): TrialWalk['end'] | null {
  const { knowledge, hidden, going, world } = trial
  const intermittent = world.hides > 0
  const stands = walk(knowledge, hidden.tree, going.findings)
  const ranking = rank(knowledge, hidden.tree, going.findings, trial.history, { intermittent })
  const { place } = stands
  trial.walked.first.push(firstOf(ranking, trial.causes))
  if (place.kind === 'end') return 'outside'
  if (place.kind === 'cause') return mend(trial, ranking, causeKey(place.cause))
  const next = nextCheck(knowledge, hidden.tree, going.findings, ranking, { intermittent })
  const check = chosen(trial, stands, next)
  if (!check) return mendLikeliest(trial, ranking)
  record(trial, stands, check)
  return null
}

/** The suggestion, or the check the tree comes to; null where nothing is left to check. */
function chosen({ follows, barred }: Trial, { place }: Walk, next: NextCheck | null): Check | null {
  const suggested = follows === 'suggestions' ? next?.suggestion?.check : undefined
  const usual = place.kind === 'check' ? place.check : null
  const open = (check: Check | null | undefined) => check && !barred.has(refKey(refOf(check)))
  return [suggested, usual, next?.author].find(open) ?? null
}

function firstOf({ causes, outside }: Ranking, wrong: string[]): Stated {
  const first = causes[0]
  if (!first || outside.probability > first.probability)
    return { chance: outside.probability, true: wrong.includes(outsideKey) }
  return { chance: first.probability, true: wrong.includes(causeKey(first.cause)) }
}

function mendLikeliest(trial: Trial, ranking: Ranking): TrialWalk['end'] | null {
  const first = ranking.causes[0]
  if (!first || ranking.outside.probability > first.probability) return 'outside'
  return mend(trial, ranking, causeKey(first.cause))
}

/** Mended and proved: the true cause ends the walk, another is ruled out by its proof. */
function mend(trial: Trial, ranking: Ranking, cause: string): TrialWalk['end'] | null {
  const { walked, causes, going } = trial
  const chance = ranking.causes.find(one => causeKey(one.cause) === cause)?.probability ?? 0
  const right = causes.includes(cause)
  walked.mended.push({ chance, true: right })
  if (right) return 'cause'
  walked.minutes += usualMinutes.repair
  going.findings.push({ ...made(going.findings), kind: 'rejection', cause, mended: true })
  return null
}

function record(trial: Trial, stands: Walk, check: Check): void {
  const { going, knowledge, walked, opened } = trial
  const here = placeKey(stands.place)
  const there = placeKey({ kind: 'check', check })
  if (here !== there)
    going.findings.push({
      ...{ ...made(going.findings), kind: 'departure', from: here, to: refOf(check), suggested: true },
    })
  walked.checks += 1
  walked.minutes += (check.minutes ?? usualMinutes.check) + wayIn(knowledge, check, opened)
  const finding = found(trial, stands, check)
  if (!rowOf(check, finding).row) trial.barred.add(there)
  going.findings.push(finding)
}

/** Minutes of a way in that was not open yet. */
function wayIn(knowledge: Knowledge, check: Check, opened: Set<string>): number {
  const kit = knowledge.equipment.get(knowledge.trees.get(check.tree)?.equipment ?? '')
  const key = `${kit?.slug}/${check.access}`
  if (check.access === null || opened.has(key)) return 0
  opened.add(key)
  return kit?.access.find(({ name }) => name === check.access)?.minutes ?? 0
}

function found(trial: Trial, stands: Walk, check: Check): CheckFinding {
  const { going, chance, world, hidden } = trial
  const hides = chance.chance(world.hides)
  const shown = hides ? healthyAt({ ...hidden.world.site }, chance) : hidden.world
  going.world = shown
  const finding = makeCheck(going, stands, check)
  going.world = hidden.world
  if (typeof finding === 'string')
    return { ...made(going.findings), kind: 'cannot tell', check: refOf(check), chosenRow: null }
  return chance.chance(world.slip) ? slipped(check, finding, chance) : finding
}

/** Another row that tells something is taken. */
function slipped(check: Check, finding: CheckFinding, chance: Chance): CheckFinding {
  const { row } = rowOf(check, finding)
  const others = check.rows.filter(one => one !== row && one.match.kind !== 'cannot tell')
  if (finding.kind === 'cannot tell' || others.length === 0) return finding
  return { ...finding, chosenRow: chance.pick(others).label }
}

function made(findings: Finding[]) {
  const seq = findings.length + 1
  return {
    ...{ id: `f${seq}`, seq, attendanceId: 'a', at: '2027-01-01T00:00:00Z', by: 'robot', byName: 'Robot' },
    ...{ replaces: null, reason: null, note: null },
  }
}
