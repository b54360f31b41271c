// The question behind `least-order.ts` on flat arrays: the causes that may be, what each check shows, what leads where.

import { openChecks, type Plan, type Standing } from '../../../server/diagnosis/ordering/plan.ts'
import { neededIn } from './least-needed.ts'

export interface Problem {
  plan: Plan
  /** Checks that can still come. */
  open: number[]
  weights: number[]
  groups: number[]
  /** rows[check][hypothesis] */
  rows: Int16Array[]
  /** proves[check][hypothesis] */
  proves: Uint8Array[]
  /** isOwn[check][hypothesis]: whether the hypothesis needs the check, or it proves one of the same group. */
  isOwn: Uint8Array[]
  /** The checks that prove a hypothesis or one of its group. */
  proofsOf: number[][]
  /** Whether a hypothesis is shown without any check. */
  free: Uint8Array
  /** Whether it or another of its group is. */
  freeGroup: Uint8Array
  /** The checks each hypothesis needs in any order, a mask of the ways they need, and its proofs if none is among them. */
  needed: number[][]
  neededWays: number[]
  proofChoice: number[][]
  /** Checks done and ways opened before. */
  done: Uint8Array
  opened: number
}

/** Causes only, of the groups that have any weight. "Something not in this tree" is left out: that only shortens. */
export function problemOf(plan: Plan, standing: Standing): Problem {
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
  const bare = {
    plan,
    open,
    weights: kept.map(index => of(index)?.weight ?? 0),
    groups,
    rows: plan.minutes.map((_, check) => Int16Array.from(kept, index => of(index)?.rows[check] ?? -1)),
    proves: table((check, at) => proofs[at]?.includes(check) ?? false),
    proofsOf: groups.map(group =>
      open.filter(check => proofs.some((list, other) => groups[other] === group && list.includes(check))),
    ),
    free,
    freeGroup: Uint8Array.from(groups, group => Number(groups.some((own, at) => own === group && free[at]))),
    done: standing.done,
    opened: standing.opened.reduce((mask, is, access) => (is ? mask | (1 << access) : mask), 0),
    isOwn: [],
    needed: [],
    neededWays: [],
    proofChoice: [],
  }
  const needed = neededIn(bare)
  const isNeeded = (at: number, check: number) => needed[at]?.includes(check) ?? false
  const choice = bare.proofsOf.map((list, at) =>
    bare.freeGroup[at] || list.some(check => isNeeded(at, check)) ? [] : list,
  )
  return {
    ...bare,
    needed,
    neededWays: needed.map((list, at) => waysOf(plan, list, choice[at] ?? [])),
    proofChoice: choice,
    isOwn: table((check, at) => isNeeded(at, check) || (choice[at]?.includes(check) ?? false)),
  }
}

/** The ways of all the checks needed, and one that each proof there is to choose from needs. */
function waysOf(plan: Plan, needed: number[], choice: number[]): number {
  const bit = (check: number) => ((plan.access[check] ?? -1) < 0 ? 0 : 1 << (plan.access[check] ?? 0))
  const shared = choice.length > 0 ? choice.reduce((mask, check) => mask & bit(check), -1) : 0
  return needed.reduce((mask, check) => mask | bit(check), shared)
}

function weighty(plan: Plan, standing: Standing): number[] {
  const of = (index: number) => plan.hypotheses[index]
  const groups = new Set(
    standing.alive.filter(index => (of(index)?.weight ?? 0) > 0).map(index => of(index)?.cause),
  )
  return standing.alive.filter(index => (of(index)?.cause ?? -1) >= 0 && groups.has(of(index)?.cause))
}
