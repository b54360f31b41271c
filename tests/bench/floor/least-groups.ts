// Sets of causes that may still be, each worked out once: what helps there, what it depends on, how checks part it.

import { sourcesOf } from '../../../server/diagnosis/ordering/author-order.ts'
import type { Problem } from './least-problem.ts'

export interface Group {
  id: number
  members: number[]
  weight: number
  /** Whether nothing more need be told apart. */
  single: boolean
  /** Checks that part or prove something here, and with them those that these may need first. */
  useful: number[]
  wanted: number[]
  /** Checks whose being done changes what may be done from here. */
  matters: number[]
  /** A mask of the ways that wanted checks need. */
  ways: number
  partsOf(check: number): Group[]
  /** The row that is found here at a check that was done. */
  shows(check: number): number
}

/** Gives the one group for each set of members. */
export function groupsOf(problem: Problem): (members: number[]) => Group {
  const known = new Map<string, Group>()
  const groupOf = (members: number[]): Group => {
    const key = String.fromCharCode(...members)
    const before = known.get(key)
    if (before) return before
    const group = groupFrom(problem, members, known.size, groupOf)
    known.set(key, group)
    return group
  }
  return groupOf
}

function groupFrom(
  problem: Problem,
  members: number[],
  id: number,
  groupOf: (members: number[]) => Group,
): Group {
  const { plan, groups } = problem
  const useful = problem.open.filter(check => tells(problem, members, check))
  const wanted = withSources(problem, useful)
  const parts = new Map<number, Group[]>()
  const first = members[0] ?? -1
  const shows = (check: number) => problem.rows[check]?.[first] ?? -1
  return {
    id,
    members,
    weight: members.reduce((sum, at) => sum + (problem.weights[at] ?? 0), 0),
    single: members.every(at => groups[at] === groups[first]),
    useful,
    wanted,
    matters: mattersFor(problem, members, wanted),
    ways: wanted.reduce((mask, check) => mask | wayBit(plan.access[check] ?? -1), 0),
    shows,
    partsOf(check) {
      const before = parts.get(check)
      if (before) return before
      const found = parted(problem, members, check).map(groupOf)
      parts.set(check, found)
      return found
    },
  }
}

function wayBit(way: number): number {
  return way >= 0 ? 1 << way : 0
}

function tells(problem: Problem, members: number[], check: number): boolean {
  const rows = problem.rows[check]
  const proves = problem.proves[check]
  const first = rows?.[members[0] ?? -1]
  return members.some(at => rows?.[at] !== first || proves?.[at] === 1)
}

/** With what they need first. */
function withSources({ plan, open }: Problem, useful: number[]): number[] {
  const wanted = new Set(useful)
  for (const check of wanted) for (const source of sourcesOf(plan, check)) wanted.add(source)
  return open.filter(check => wanted.has(check))
}

function mattersFor(problem: Problem, members: number[], wanted: number[]): number[] {
  const { plan, proves } = problem
  const matters = new Set(wanted)
  for (const check of wanted) {
    for (const other of sourcesOf(plan, check)) matters.add(other)
    for (const other of plan.barredBy[check] ?? []) matters.add(other)
  }
  for (const check of problem.open) if (members.some(at => proves[check]?.[at])) matters.add(check)
  return [...matters]
}

function parted(problem: Problem, members: number[], check: number): number[][] {
  const parts = new Map<number, number[]>()
  for (const at of members) {
    const row = problem.rows[check]?.[at] ?? -1
    const part = parts.get(row)
    if (part) part.push(at)
    else parts.set(row, [at])
  }
  return [...parts.values()]
}
