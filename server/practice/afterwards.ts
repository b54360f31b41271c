// What an exercise was, told afterwards: the cause, where it could first have been known, and the paths side by side.

import { nextCheck } from '../diagnosis/ordering/next-check.ts'
import { noHistory } from '../diagnosis/ranking/cause-counts.ts'
import { rank } from '../diagnosis/ranking/rank.ts'
import { usualMinutes } from '../diagnosis/ranking/strengths.ts'
import { causeKey, findCauseByKey, findCheck, refOf } from '../knowledge/graph.ts'
import type { Knowledge } from '../knowledge/types.ts'
import type { Finding } from '../walk/record.ts'
import type { Chance } from './chance.ts'
import type { HiddenAt } from './hide-at.ts'
import { type Arrival, type Leaving, walkRobot } from './robot.ts'

export interface PathStep {
  title: string
  found: string
  minutes: number
}

/** What was found in one tree; a symptom reported anew begins another. */
export interface Leg {
  tree: string
  findings: Finding[]
}

export interface Told {
  cause: { key: string; title: string; remedy: string }
  /** After which check the readings left little else: the person's own, or null where they never did. */
  known: { title: string; count: number } | null
  path: PathStep[]
  author: PathStep[]
  best: PathStep[]
  /** Where the two came to, in words. */
  came: { author: string; best: string }
}

/** A share of the chances at which a cause is as good as known; assumed. */
const KNOWN = 0.8

/** `seed` gives the robot's instruments the same errors on both paths. */
export function tell(knowledge: Knowledge, hidden: HiddenAt, walked: Leg[], chance: () => Chance): Told {
  const cause = findCauseByKey(knowledge, hidden.cause)
  const author = robotsWay(knowledge, hidden, chance(), () => () => null)
  const best = robotsWay(knowledge, hidden, chance(), tree => suggested(knowledge, tree))
  return {
    cause: { key: hidden.cause, title: cause?.title ?? hidden.cause, remedy: cause?.remedy ?? '' },
    known: firstKnown(knowledge, hidden.cause, walked),
    path: stepsOf(
      knowledge,
      walked.flatMap(({ findings }) => findings),
    ),
    author: stepsOf(knowledge, author.findings),
    best: stepsOf(knowledge, best.findings),
    came: { author: author.to, best: best.to },
  }
}

/** A tree under work may lead round in circles: there is no way to it then. */
function robotsWay(
  knowledge: Knowledge,
  hidden: HiddenAt,
  chance: Chance,
  leavingIn: (tree: string) => Leaving,
): { findings: Finding[]; to: string } {
  try {
    const walked = walkRobot(knowledge, hidden, chance, leavingIn)
    return { findings: [...walked.before, ...walked.findings], to: arrivedAt(knowledge, walked.arrival) }
  } catch {
    return { findings: [], to: 'nowhere: it goes round in circles' }
  }
}

function arrivedAt(knowledge: Knowledge, arrival: Arrival): string {
  switch (arrival.kind) {
    case 'cause':
      return findCauseByKey(knowledge, arrival.cause)?.title ?? arrival.cause
    case 'end':
      return arrival.end.title
    case 'stuck':
      return `stuck at ${arrival.check.title}`
  }
}

function firstKnown(knowledge: Knowledge, cause: string, walked: Leg[]): Told['known'] {
  let count = 0
  for (const { tree, findings } of walked) {
    for (const [index, finding] of findings.entries()) {
      if (!('check' in finding)) continue
      count += 1
      const [first] = rank(knowledge, tree, findings.slice(0, index + 1), noHistory).causes
      if (!first || causeKey(first.cause) !== cause || first.probability < KNOWN) continue
      return { title: findCheck(knowledge, finding.check)?.title ?? finding.check.check, count }
    }
  }
  return null
}

/** Goes where the program would suggest to go. */
function suggested(knowledge: Knowledge, tree: string): Leaving {
  return (_stands, findings) => {
    const ranking = rank(knowledge, tree, findings, noHistory)
    const next = nextCheck(knowledge, tree, findings, ranking)?.suggestion
    const gone = findings.some(
      one =>
        one.kind === 'departure' &&
        next &&
        one.to.tree === next.check.tree &&
        one.to.check === next.check.slug,
    )
    return next && !gone ? refOf(next.check) : null
  }
}

function stepsOf(knowledge: Knowledge, findings: Finding[]): PathStep[] {
  return findings.flatMap(finding => {
    if (!('check' in finding)) return []
    const check = findCheck(knowledge, finding.check)
    return check
      ? [{ title: check.title, found: foundOf(finding), minutes: check.minutes ?? usualMinutes.check }]
      : []
  })
}

function foundOf(finding: Finding): string {
  switch (finding.kind) {
    case 'reading':
      return finding.text
    case 'observation':
      return finding.word
    default:
      return 'could not tell'
  }
}
