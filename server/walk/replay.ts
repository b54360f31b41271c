// A walk on record followed again on other knowledge: where it
// would end now, and how long the checks would take.

import { findCheck, refKey } from '../knowledge/graph.ts'
import type { Knowledge } from '../knowledge/types.ts'
import { judge } from '../measurement/verdicts/verdict.ts'
import { expectedAt } from './expected.ts'
import type { PositionFacts } from './fit.ts'
import { type Place, placeKey, placeName, type Walk, walk } from './place.ts'
import type { FaultRecord, Finding } from './record.ts'

export interface Arrival {
  /** Where the findings lead, as `placeKey`. */
  key: string
  /** The same in words. */
  words: string
  /** Checks of the way, by title. */
  checks: string[]
  /** What they take together, getting at things counted once. */
  minutes: number
}

export interface Replayed {
  faultId: string
  /** `stuck`: it would ask for a check that was not made, where it reached an end before. */
  change: 'same' | 'elsewhere' | 'stuck' | 'longer' | 'shorter'
  /** Minutes more than before. */
  minutes: number
  before: Arrival
  after: Arrival
}

/**
 * Follows one record on the knowledge it was walked on, and on `now`. Where a limit has changed the readings
 * are held against the new one, as numbers without an instrument. Rows chosen by hand stay chosen.
 */
export function replay(then: Knowledge, now: Knowledge, record: FaultRecord, facts: PositionFacts): Replayed {
  const { tree } = record.fault
  const before = arrival(then, walk(then, tree, record.findings))
  const after = arrival(now, walk(now, tree, rejudged(now, tree, record.findings, facts)))
  const minutes = after.minutes - before.minutes
  return { faultId: record.fault.id, change: changeOf(before, after, minutes), minutes, before, after }
}

type Arrived = Arrival & { kind: Place['kind'] }

function changeOf(before: Arrived, after: Arrived, minutes: number): Replayed['change'] {
  const unfinished = after.kind === 'check' || after.kind === 'lost'
  if (unfinished && before.key !== after.key) return 'stuck'
  if (before.key !== after.key) return 'elsewhere'
  if (Math.abs(minutes) < 0.5) return 'same'
  return minutes > 0 ? 'longer' : 'shorter'
}

/**
 * The findings with the verdicts they would get at this
 * knowledge, one after the other as the ranges may build on them.
 */
export function rejudged(now: Knowledge, tree: string, findings: Finding[], facts: PositionFacts): Finding[] {
  const kit = now.equipment.get(now.trees.get(tree)?.equipment ?? '')
  const done: Finding[] = []
  for (const finding of [...findings].sort((a, b) => a.seq - b.seq)) {
    const check = finding.kind === 'reading' ? findCheck(now, finding.check) : null
    if (finding.kind !== 'reading' || !check || !kit) {
      done.push(finding)
      continue
    }
    const { range } = expectedAt(kit, facts, walk(now, tree, done), check)
    const unchanged = range?.min === finding.range?.min && range?.max === finding.range?.max
    const verdict = unchanged ? finding.verdict : judge(finding.reading, range, null)
    done.push({ ...finding, range, verdict })
  }
  return done
}

function arrival(knowledge: Knowledge, { place, path }: Walk): Arrived {
  const checks = path.flatMap(step => (step.kind === 'check' ? [step.check] : []))
  const opened = new Set<string>()
  let minutes = 0
  for (const check of new Map(
    checks.map(one => [refKey({ tree: one.tree, check: one.slug }), one]),
  ).values()) {
    minutes += check.minutes ?? 0
    const kit = knowledge.equipment.get(knowledge.trees.get(check.tree)?.equipment ?? '')
    const way = kit?.access.find(one => one.name === check.access)
    if (!way || opened.has(way.name)) continue
    opened.add(way.name)
    minutes += way.minutes
  }
  const words = place.kind === 'check' ? `still to do: ${placeName(place)}` : placeName(place)
  return { key: placeKey(place), kind: place.kind, words, checks: checks.map(check => check.title), minutes }
}
