// The compiled knowledge seen as a graph: finding things by name, what leads where, and by which rows.

import type { Cause, Check, CheckRef, End, FaultTree, Knowledge, Row, Target } from './types.ts'

export { nearestName } from './nearest-name.ts'

/** One step of a path: the check, and the row that leads on. */
export interface PathStep {
  check: Check
  row: Row
}

export type Path = PathStep[]

/** `tree#check` */
export function refKey(ref: CheckRef): string {
  return `${ref.tree}#${ref.check}`
}

/** The check's own reference, for `refKey` and for storing. */
export function refOf(check: Check): CheckRef {
  return { tree: check.tree, check: check.slug }
}

/** What a check is about: the quantity measured, or the thing looked at. */
export function subjectOf({ does }: Check): string {
  switch (does.kind) {
    case 'measure':
      return does.quantity
    case 'observe':
      return does.what
  }
}

/** `equipment/cause` */
export function causeKey(cause: { equipment: string; slug: string }): string {
  return `${cause.equipment}/${cause.slug}`
}

/**
 * `tree#check`, `tree#end` or `equipment/cause`; no two
 * targets share one, as headings of a file are distinct.
 */
export function targetKey(target: Target): string {
  switch (target.kind) {
    case 'check':
      return `${target.tree}#${target.check}`
    case 'end':
      return `${target.tree}#${target.end}`
    case 'cause':
      return `${target.equipment}/${target.cause}`
  }
}

/** The check a reference names, or null. */
export function findCheck(knowledge: Knowledge, ref: CheckRef): Check | null {
  return knowledge.trees.get(ref.tree)?.checks.get(ref.check) ?? null
}

/** The cause named by its equipment and slug, or null. */
export function findCause(knowledge: Knowledge, name: { equipment: string; cause: string }): Cause | null {
  return knowledge.equipment.get(name.equipment)?.causes.get(name.cause) ?? null
}

/** The cause behind an `equipment/cause` key, or null. */
export function findCauseByKey(knowledge: Knowledge, key: string): Cause | null {
  const slash = key.indexOf('/')
  return findCause(knowledge, { equipment: key.slice(0, slash), cause: key.slice(slash + 1) })
}

/** The end named by its tree and slug, or null. */
export function findEnd(knowledge: Knowledge, name: { tree: string; end: string }): End | null {
  return knowledge.trees.get(name.tree)?.ends.get(name.end) ?? null
}

/**
 * Everything reachable by a walk that begins at `from`, in the order first met, by target key. `from` itself
 * is among them; what is `passed` already is left out, and so is what lies only behind it.
 */
export function reachableFrom(
  knowledge: Knowledge,
  from: CheckRef,
  passed: ReadonlySet<string> = new Set(),
): Map<string, Target> {
  const met = new Map<string, Target>()
  const waiting: Target[] = [{ kind: 'check', ...from }]
  for (let target = waiting.pop(); target; target = waiting.pop()) {
    const key = targetKey(target)
    if (met.has(key) || passed.has(key)) continue
    met.set(key, target)
    if (target.kind !== 'check') continue
    const rows = findCheck(knowledge, target)?.rows ?? []
    for (const row of [...rows].reverse()) waiting.push(row.next)
  }
  return met
}

/** The checks, causes and ends reachable from a tree's start, through other trees too. */
export function reachable(
  knowledge: Knowledge,
  tree: FaultTree,
): { checks: Check[]; causes: Cause[]; ends: End[] } {
  const reached = { checks: [] as Check[], causes: [] as Cause[], ends: [] as End[] }
  for (const target of reachableFrom(knowledge, tree.start).values()) {
    if (target.kind === 'check') add(reached.checks, findCheck(knowledge, target))
    if (target.kind === 'cause') add(reached.causes, findCause(knowledge, target))
    if (target.kind === 'end') add(reached.ends, findEnd(knowledge, target))
  }
  return reached
}

/**
 * For each cause a tree's walks can reach, the paths to it from the tree's start,
 * by cause key (`equipment/cause`). The shortest come first, and at most `most`
 * are listed for each cause at each check, so that a tree whose branches join
 * again and again stays cheap. Rows for `cannot tell` are part of the paths.
 */
export function pathsTo(knowledge: Knowledge, tree: FaultTree, most = 32): Map<string, Path[]> {
  return unroll(onward(knowledge, tree.start, 'cause', most))
}

/** As `pathsTo`, for the ends of walks: keys are `tree#end`. */
export function pathsToEnds(knowledge: Knowledge, tree: FaultTree, most = 32): Map<string, Path[]> {
  return unroll(onward(knowledge, tree.start, 'end', most))
}

/** A path as linked steps, so that paths share their tails. */
interface Chain {
  step: PathStep
  rest: Chain | null
  length: number
}

type Onward = Map<string, Chain[]>

/** For each target of the kind that is the goal, the chains to it from `from`. */
function onward(knowledge: Knowledge, from: CheckRef, goal: 'cause' | 'end', most: number): Onward {
  const onwardOf = new Map<string, Onward>()
  for (const check of deepestFirst(knowledge, from)) {
    const result: Onward = new Map()
    for (const row of check.rows) extend(result, { check, row }, goal, onwardOf)
    for (const [target, chains] of result) result.set(target, shortest(chains, most))
    onwardOf.set(refKey(refOf(check)), result)
  }
  return onwardOf.get(refKey(from)) ?? new Map()
}

/** A circle ends here instead of going round: the check it leads back to has no entry yet. */
function extend(into: Onward, step: PathStep, goal: 'cause' | 'end', onwardOf: Map<string, Onward>) {
  const { next } = step.row
  if (next.kind === goal) put(into, targetKey(next), { step, rest: null, length: 1 })
  if (next.kind !== 'check') return
  for (const [target, chains] of onwardOf.get(refKey(next)) ?? []) {
    for (const rest of chains) put(into, target, { step, rest, length: rest.length + 1 })
  }
}

/**
 * The checks reachable from one, each after all that its rows lead to, where there is no circle.
 * Without recursion, so that a very long chain of checks can't exhaust the stack.
 */
export function deepestFirst(knowledge: Knowledge, from: CheckRef): Check[] {
  const order: Check[] = []
  const met = new Set<string>()
  const trail: { check: Check; next: number }[] = []
  const enter = (ref: CheckRef) => {
    const check = met.has(refKey(ref)) ? null : findCheck(knowledge, ref)
    if (!check) return
    met.add(refKey(ref))
    trail.push({ check, next: 0 })
  }
  enter(from)
  for (let top = trail.at(-1); top; top = trail.at(-1)) {
    const row = top.check.rows[top.next++]
    if (row?.next.kind === 'check') enter(row.next)
    if (row) continue
    order.push(top.check)
    trail.pop()
  }
  return order
}

function shortest(chains: Chain[], most: number): Chain[] {
  return chains.sort((a, b) => a.length - b.length).slice(0, most)
}

function put(into: Onward, key: string, chain: Chain) {
  const chains = into.get(key)
  if (chains) chains.push(chain)
  else into.set(key, [chain])
}

function unroll(chainsTo: Onward): Map<string, Path[]> {
  return new Map([...chainsTo].map(([key, chains]) => [key, chains.map(steps)]))
}

function steps(chain: Chain): Path {
  const path: Path = []
  for (let at: Chain | null = chain; at; at = at.rest) path.push(at.step)
  return path
}

function add<T>(list: T[], item: T | null) {
  if (item) list.push(item)
}
