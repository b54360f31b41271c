// The question behind `least-order.ts` on flat arrays: the causes that may be, what each check shows, what leads where.

import type { AuthorOrder } from './author-order.ts'
import { openChecks, type Plan, type Standing } from './plan.ts'

export interface Problem {
  plan: Plan
  /** Checks that can still come. */
  open: number[]
  weights: number[]
  groups: number[]
  /** rows[check][hypothesis] */
  rows: Int16Array[]
  /** proves[check][hypothesis]: whether it proves this hypothesis, and whether it proves one of its group. */
  proves: Uint8Array[]
  provesGroup: Uint8Array[]
  /** The checks that prove a hypothesis or one of its group. */
  proofsOf: number[][]
  /** Whether a hypothesis is shown without any check. */
  free: Uint8Array
  /** Whether it or another of its group is. */
  freeGroup: Uint8Array
  /** Rows that lead to each check in the author's order. */
  ledBy: { check: number; row: number }[][]
  start: number
  /** Checks done and ways opened before. */
  done: Uint8Array
  opened: number
}

/** Causes only, of the groups that have any weight. "Something not in this tree" is left out: that only shortens. */
export function problemOf(plan: Plan, standing: Standing, order: AuthorOrder): Problem {
  const open = openChecks(plan, standing.done)
  const kept = weighty(plan, standing)
  const of = (index: number) => plan.hypotheses[index]
  const groups = kept.map(index => of(index)?.cause ?? -1)
  const table = (is: (check: number, at: number) => boolean) =>
    plan.minutes.map((_, check) => Uint8Array.from(kept, (_, at) => Number(is(check, at))))
  const proofs = kept.map(index => of(index)?.proofs ?? [])
  const free = Uint8Array.from(proofs, list =>
    Number(list.length === 0 || list.some(check => standing.done[check])),
  )
  return {
    plan,
    open,
    weights: kept.map(index => of(index)?.weight ?? 0),
    groups,
    rows: plan.minutes.map((_, check) => Int16Array.from(kept, index => of(index)?.rows[check] ?? -1)),
    proves: table((check, at) => proofs[at]?.includes(check) ?? false),
    provesGroup: table((check, at) =>
      groups.some((group, other) => group === groups[at] && proofs[other]?.includes(check)),
    ),
    proofsOf: groups.map(group =>
      open.filter(check => proofs.some((list, other) => groups[other] === group && list.includes(check))),
    ),
    free,
    freeGroup: Uint8Array.from(groups, group => Number(groups.some((own, at) => own === group && free[at]))),
    ledBy: ledByIn(plan, order),
    start: order.start,
    done: standing.done,
    opened: standing.opened.reduce((mask, is, access) => (is ? mask | (1 << access) : mask), 0),
  }
}

function weighty(plan: Plan, standing: Standing): number[] {
  const of = (index: number) => plan.hypotheses[index]
  const groups = new Set(
    standing.alive.filter(index => (of(index)?.weight ?? 0) > 0).map(index => of(index)?.cause),
  )
  return standing.alive.filter(index => (of(index)?.cause ?? -1) >= 0 && groups.has(of(index)?.cause))
}

function ledByIn(plan: Plan, order: AuthorOrder): Problem['ledBy'] {
  const ledBy: Problem['ledBy'] = plan.minutes.map(() => [])
  order.onward.forEach((rows, check) => {
    rows.forEach((to, row) => {
      if (to >= 0) ledBy[to]?.push({ check, row })
    })
  })
  return ledBy
}
