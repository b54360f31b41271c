// How far the trees reach: their size, their time, the rows no example tries, and the gaps.

import { runExample } from './examples.ts'
import {
  causeKey,
  deepestFirst,
  findCauseByKey,
  type Path,
  pathsTo,
  reachable,
  refKey,
  refOf,
  targetKey,
} from './graph.ts'
import type { Cause, Check, Equipment, FaultTree, Knowledge, Row, Source } from './types.ts'

export interface TreeCoverage {
  tree: string
  title: string
  checks: number
  causes: number
  /** Checks on the longest path from the start. */
  longestPath: number
  /**
   * Mean over the causes, weighed by share, of the minutes of
   * the checks on the shortest path; null without causes.
   */
  expectedMinutes: number | null
  /** Rows that no example run takes, of this tree or of another that leads here. */
  untried: { check: string; row: string; source: Source }[]
  /** Checks whose rows all lead to one place. */
  separatesNothing: { check: string; source: Source }[]
}

export interface LimitCoverage {
  equipment: string
  limit: string
  state: 'blank' | 'demo'
  source: Source
}

export interface Coverage {
  trees: TreeCoverage[]
  limits: LimitCoverage[]
}

export function coverageOf(knowledge: Knowledge): Coverage {
  const trees = [...knowledge.trees.values()]
  const tried = new Set(trees.flatMap(tree => triedRows(knowledge, tree)))
  return {
    trees: trees.map(tree => treeCoverage(knowledge, tree, tried)),
    limits: [...knowledge.equipment.values()].flatMap(kit =>
      kit.limits.flatMap(limit => {
        const state = limit.expectation === null ? 'blank' : limit.demo ? 'demo' : null
        return state ? { equipment: kit.slug, limit: limit.name, state, source: limit.source } : []
      }),
    ),
  }
}

function treeCoverage(knowledge: Knowledge, tree: FaultTree, tried: Set<Row>): TreeCoverage {
  const reached = reachable(knowledge, tree)
  return {
    tree: tree.slug,
    title: tree.title,
    checks: tree.checks.size,
    causes: reached.causes.length,
    longestPath: longestPath(knowledge, tree),
    expectedMinutes: expectedMinutes(knowledge, tree),
    untried: untriedRows(tree, tried),
    separatesNothing: [...tree.checks.values()]
      .filter(check => check.rows.length > 1 && separatesNothing(check))
      .map(check => ({ check: check.title, source: check.source })),
  }
}

function separatesNothing(check: Check): boolean {
  return new Set(check.rows.map(row => JSON.stringify(row.next))).size === 1
}

function longestPath(knowledge: Knowledge, tree: FaultTree): number {
  const length = new Map<string, number>()
  for (const check of deepestFirst(knowledge, tree.start)) {
    const onward = check.rows.map(({ next }) =>
      next.kind === 'check' ? (length.get(targetKey(next)) ?? 0) : 0,
    )
    length.set(refKey(refOf(check)), 1 + Math.max(0, ...onward))
  }
  return length.get(refKey(tree.start)) ?? 0
}

/**
 * Minutes of the checks on the author's path (the shortest) to each cause, weighed by the share of the cause.
 * Getting at things counts once a path.
 */
function expectedMinutes(knowledge: Knowledge, tree: FaultTree): number | null {
  let shares = 0
  let minutes = 0
  for (const [key, [path]] of pathsTo(knowledge, tree, 1)) {
    const cause = findCauseByKey(knowledge, key)
    if (!cause || !path) continue
    shares += cause.share
    minutes += cause.share * pathMinutes(knowledge, path)
  }
  return shares > 0 ? minutes / shares : null
}

function pathMinutes(knowledge: Knowledge, path: Path): number {
  const opened = new Set<string>()
  let minutes = 0
  for (const { check } of path) {
    minutes += check.minutes ?? 0
    const equipment = knowledge.trees.get(check.tree)?.equipment ?? ''
    const access = knowledge.equipment.get(equipment)?.access.find(way => way.name === check.access)
    if (!access || opened.has(access.name)) continue
    opened.add(access.name)
    minutes += access.minutes
  }
  return minutes
}

function triedRows(knowledge: Knowledge, tree: FaultTree): Row[] {
  return tree.examples.flatMap(example => runExample(knowledge, tree, example).path.map(step => step.row))
}

function untriedRows(tree: FaultTree, tried: Set<Row>): TreeCoverage['untried'] {
  return [...tree.checks.values()].flatMap(check =>
    check.rows
      .filter(row => !tried.has(row))
      .map(row => ({ check: check.title, row: row.label, source: row.source })),
  )
}

export interface Gaps {
  unreached: { cause: Cause; equipment: string }[]
  /** Kinds of equipment no fault tree answers for. */
  withoutTree: Equipment[]
  /** Symptoms of the record that no tree of the edition answers. */
  unanswered: { symptom: string; equipment: string; faults: number }[]
  /** Values that do not say where they come from. */
  withoutSource: { where: string; what: string; source: Source }[]
}

export function gapsOf(
  knowledge: Knowledge,
  reported: { symptom: string; equipment: string; faults: number }[],
): Gaps {
  const trees = [...knowledge.trees.values()]
  const kits = [...knowledge.equipment.values()]
  const reached = new Set(trees.flatMap(tree => reachable(knowledge, tree).causes.map(causeKey)))
  const answers = new Set(trees.map(tree => `${tree.equipment} ${tree.symptom}`))
  return {
    unreached: kits.flatMap(kit =>
      [...kit.causes.values()]
        .filter(cause => !reached.has(causeKey(cause)))
        .map(cause => ({ cause, equipment: kit.name })),
    ),
    withoutTree: kits.filter(
      kit => !trees.some(tree => tree.equipment === kit.slug && tree.kind === 'fault'),
    ),
    unanswered: reported.filter(one => !answers.has(`${one.equipment} ${one.symptom}`)),
    withoutSource: [
      ...kits.flatMap(limitsWithout),
      ...trees.flatMap(tree => [...tree.checks.values()].flatMap(checkWithout)),
    ],
  }
}

function limitsWithout({ name, limits }: Equipment): Gaps['withoutSource'] {
  return limits
    .filter(limit => limit.expectation !== null && limit.from.replace(/[–-]/, '').trim() === '')
    .map(limit => ({ where: name, what: limit.name, source: limit.source }))
}

function checkWithout(check: {
  title: string
  does: { kind: string; from?: string; expectText?: string }
  source: Source
}) {
  const { does } = check
  const missing = does.kind === 'measure' && does.expectText !== '' && (does.from ?? '').trim() === ''
  return missing ? [{ where: check.title, what: does.expectText ?? '', source: check.source }] : []
}
