// How long it will still take: to the cause, and to hand-back.

import type { Cause, Knowledge } from '../../knowledge/types.ts'
import { findRoot } from '../../statistics/find-root.ts'
import { normalCdf } from '../../statistics/normal.ts'
import type { Finding } from '../../walk/record.ts'
import type { Ranking } from '../ranking/rank.ts'
import { indexOfCheck, type Scope } from '../ranking/scope.ts'
import { scatter, usualMinutes } from '../ranking/strengths.ts'
import { type NextOptions, type OrderSearch, searchOrder } from './next-check.ts'
import type { Plan } from './plan.ts'
import { run } from './run.ts'

export interface ExpectedTime {
  /** Minutes from now until the cause is proven. */
  toCause: Spread
  /** Minutes from now until it is mended, put back and proven, ready to be handed back. */
  toHandBack: Spread
}

export interface TimeOptions extends NextOptions {
  /** The order that will be followed; the author's by default. */
  order?: 'author' | 'suggested'
}

/**
 * Expected minutes from where the findings stand, each likely cause being one way it may go; null when the
 * knowledge has no such tree. Hand-back adds the repair, its proofs and putting back what was disturbed. For
 * "something not in this tree" the longest repair of the tree is taken, as nothing better is known.
 */
export function expectedTime(
  knowledge: Knowledge,
  tree: string,
  findings: Finding[],
  ranking: Ranking,
  options: TimeOptions = {},
): ExpectedTime | null {
  const search = searchOrder(knowledge, tree, findings, ranking, options)
  if (!search) return null
  const { plan, standing, onward } = search
  const policy = options.order === 'suggested' ? search.best.policy : search.author.policy
  const followed = run(plan, standing, policy, onward)
  const toCause: Component[] = []
  const toHandBack: Component[] = []
  for (const index of standing.alive) {
    const hypothesis = plan.hypotheses[index]
    if (!hypothesis) continue
    // At a cause the checks are over, even if others are still possible.
    const mean = search.ended ? 0 : (followed.minutes[index] ?? 0)
    const after = repairMinutes(
      search,
      index,
      search.ended ? [] : (followed.checks[index] ?? []),
      new Set(options.putBack ?? []),
    )
    toCause.push({ weight: hypothesis.weight, mean })
    toHandBack.push({ weight: hypothesis.weight, mean: mean + after })
  }
  return { toCause: spreadOf(toCause, scatter), toHandBack: spreadOf(toHandBack, scatter) }
}

function repairMinutes(search: OrderSearch, index: number, way: number[], back: Set<string>): number {
  const { l, plan, standing } = search
  const done = plan.minutes
    .map((_, check) => check)
    .filter(check => standing.done[check] || way.includes(check))
  const disturbed = done.filter(check => {
    const entry = l.scope.checks[check]
    return entry?.disturbs != null && !back.has(`${entry.tree}#${entry.slug}`)
  })
  const cause = l.scope.causes[causeOf(search, index)]
  const repair = cause ? (cause.minutes ?? usualMinutes.repair) : longestRepair(l.scope)
  return (
    repair + (cause ? proofMinutes(plan, l.scope, cause, done) : 0) + disturbed.length * usualMinutes.putBack
  )
}

/** The cause behind a hypothesis, not the group it was counted with. */
function causeOf({ plan }: OrderSearch, index: number): number {
  return plan.hypotheses[index]?.ownCause ?? -1
}

function longestRepair(scope: Scope): number {
  return Math.max(usualMinutes.repair, ...scope.causes.map(cause => cause.minutes ?? usualMinutes.repair))
}

/** The checks that prove the repair, with the access they need that is not open yet. */
function proofMinutes(plan: Plan, scope: Scope, cause: Cause, done: number[]): number {
  const opened = new Set(done.map(check => plan.access[check] ?? -1))
  let sum = 0
  for (const ref of cause.prove) {
    const check = indexOfCheck(scope, ref)
    sum += check < 0 ? usualMinutes.check : (plan.minutes[check] ?? 0)
    const access = plan.access[check] ?? -1
    if (access >= 0 && !opened.has(access)) sum += plan.accessMinutes[access] ?? 0
    opened.add(access)
  }
  return sum
}

export interface Component {
  /** Any scale. */
  weight: number
  /** Expected minutes. */
  mean: number
}

export interface Spread {
  mean: number
  median: number
  /** Nine in ten are done by then. */
  ninety: number
}

/**
 * Log-normal about each mean, `scatter` being the standard
 * deviation of the logarithm. All 0 when nothing has weight.
 */
export function spreadOf(components: Component[], scatter: number): Spread {
  const weight = components.reduce((sum, component) => sum + component.weight, 0)
  if (!(weight > 0)) return { mean: 0, median: 0, ninety: 0 }
  const mean = components.reduce((sum, component) => sum + component.weight * component.mean, 0) / weight
  const by = (minutes: number) =>
    components.reduce(
      (sum, component) => sum + component.weight * doneBy(component.mean, scatter, minutes),
      0,
    ) / weight
  return { mean, median: quantile(by, 0.5, components), ninety: quantile(by, 0.9, components) }
}

/** Chance that a log-normal time of this mean is over by `minutes`. */
function doneBy(mean: number, scatter: number, minutes: number): number {
  if (mean <= 0) return 1
  if (minutes <= 0) return 0
  if (scatter <= 0) return minutes >= mean ? 1 : 0
  return normalCdf((Math.log(minutes / mean) + (scatter * scatter) / 2) / scatter)
}

function quantile(by: (minutes: number) => number, part: number, components: Component[]): number {
  if (by(0) >= part) return 0
  let high = 1 + Math.max(...components.map(component => component.mean))
  while (by(high) < part) high *= 2
  return findRoot(minutes => by(minutes) - part, 0, high)
}
