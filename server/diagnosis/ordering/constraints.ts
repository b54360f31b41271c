// What may not be put out of order: what a check needs first, and what may not follow something taken apart.

import { refKey, refOf } from '../../knowledge/graph.ts'
import type { Check, Knowledge } from '../../knowledge/types.ts'
import type { Likelihood } from '../ranking/likelihood.ts'
import type { Scope } from '../ranking/scope.ts'
import type { Gate } from './plan.ts'

export interface Constraints {
  /** Checks that must be done before each check. */
  prerequisites: number[][]
  /** Checks after which each check may no longer be done, until what they disturb is put back. */
  barredBy: number[][]
  /** For checks of other trees that open with a warning, what must have led into that tree. */
  gates: (Gate | null)[]
}

const cache = new WeakMap<Likelihood, Constraints>()

/**
 * Read from the tree, on the safe side:
 * - a check that a `Needs:` line names, or whose reading its range is worked out from, comes first;
 * - of the checks that every walk passes on its way to a check, those that
 *   disturb something come first, as the check may rely on it; and before a
 *   check that itself disturbs something, those with a caution come first too;
 * - a check that no walk reaches after something was disturbed is not done after it;
 * - a check of another tree that opens with a warning waits until the walk has been led into that tree.
 */
export function constraintsOf(knowledge: Knowledge, l: Likelihood): Constraints {
  const cached = cache.get(l)
  if (cached) return cached
  const { scope } = l
  const passed = passedBefore(scope)
  const behind = scope.checks.map((_, check) => reach(scope, check, -1))
  const result: Constraints = {
    prerequisites: scope.checks.map((check, index) => firstFor(scope, check, index, passed[index] ?? [])),
    barredBy: scope.checks.map((_, index) =>
      scope.checks.flatMap((other, at) =>
        other.disturbs !== null && at !== index && !behind[at]?.[index] ? [at] : [],
      ),
    ),
    gates: scope.checks.map((check, index) => (warns(knowledge, check.tree) ? gateOf(scope, index) : null)),
  }
  cache.set(l, result)
  return result
}

function warns(knowledge: Knowledge, tree: string): boolean {
  return (knowledge.trees.get(tree)?.cautions ?? []).some(caution => /^\W*warning\b/i.test(caution))
}

function gateOf(scope: Scope, index: number): Gate | null {
  const tree = scope.checks[index]?.tree
  if (tree === scope.tree.slug) return null
  const into = scope.checks.flatMap((check, from) =>
    check.tree === tree
      ? []
      : check.rows.map((_, row) => ({ check: from, row, to: scope.onward[from]?.[row] ?? -1 })),
  )
  const entries = new Set(
    into.map(step => step.to).filter(to => scope.checks[to]?.tree === tree && to !== index),
  )
  const steps = into.filter(step => step.to === index).map(({ check, row }) => ({ check, row }))
  return { steps, entries: [...entries] }
}

function firstFor(scope: Scope, check: Check, index: number, passed: number[]): number[] {
  const first = new Set<number>()
  for (const other of passed) {
    const there = scope.checks[other]
    if (there?.disturbs || (check.disturbs && there && there.cautions.length > 0)) first.add(other)
  }
  for (const [at, other] of scope.checks.entries()) if (at !== index && names(check, other)) first.add(at)
  return [...first]
}

function names(check: Check, other: Check): boolean {
  const title = other.title.toLowerCase()
  if (check.needs.some(words => words.toLowerCase().includes(title))) return true
  return check.does.kind === 'measure' && check.does.expectText.toLowerCase().includes(`reading of ${title}`)
}

/** For each check the others that every walk from the start passes before it. */
function passedBefore(scope: Scope): number[][] {
  const start = scope.checkAt.get(refKey(scope.tree.start)) ?? -1
  const passed: number[][] = scope.checks.map(() => [])
  for (const [blocked, check] of scope.checks.entries()) {
    // Only these can matter, and a walk through the tree for each is expensive.
    if (check.disturbs === null && check.cautions.length === 0) continue
    const met = blocked === start ? new Uint8Array(scope.checks.length) : reach(scope, start, blocked)
    for (let at = 0; at < met.length; at++) if (!met[at] && at !== blocked) passed[at]?.push(blocked)
  }
  return passed
}

/** Marks what is reachable from a check, itself included, without passing `blocked`. */
function reach(scope: Scope, from: number, blocked: number): Uint8Array {
  const met = new Uint8Array(scope.checks.length)
  const waiting = from >= 0 && from !== blocked ? [from] : []
  for (let at = waiting.pop(); at !== undefined; at = waiting.pop()) {
    if (met[at]) continue
    met[at] = 1
    for (const next of scope.onward[at] ?? []) if (next >= 0 && next !== blocked) waiting.push(next)
  }
  return met
}

/** The key of a check as `tree#check`. */
export function keyOfCheck(check: Check): string {
  return refKey(refOf(check))
}
