// Lower bound on the expected minutes of any order, so that a look-ahead can say how far off it is at most.

import { costOf, openChecks, type Plan, proven, type Standing } from './plan.ts'

/**
 * Lower bound on the expected minutes of any order; the greater of two.
 * - Each cause costs at least its cheapest proof, as if the cause were known beforehand.
 * - Checks are questions with a few answers: separating causes of entropy H takes H / log2(answers) of them
 *   on the average (Shannon's noiseless coding theorem), and each costs at least the cheapest check.
 */
export function leastMinutes(plan: Plan, standing: Standing): number {
  if (proven(plan, standing)) return 0
  const weights = new Map<number, number>()
  const proofs = new Map<number, Set<number> | null>()
  let all = 0
  for (const index of standing.alive) {
    const { cause, weight, proofs: needed } = plan.hypotheses[index] ?? { cause: -1, weight: 0, proofs: [] }
    all += weight
    weights.set(cause, (weights.get(cause) ?? 0) + weight)
    const cached = proofs.get(cause)
    const none = needed.length === 0 || needed.some(check => standing.done[check])
    proofs.set(cause, none || cached === null ? null : new Set([...(cached ?? []), ...needed]))
  }
  if (!(all > 0)) return 0
  const alone = [...weights].reduce(
    (sum, [cause, weight]) =>
      sum + weight * cheapestOf(plan, standing, cause < 0 ? null : (proofs.get(cause) ?? null)),
    0,
  )
  return Math.max(
    alone / all,
    byQuestions(
      plan,
      standing,
      [...weights].map(([cause, w]) => [cause, w / all]),
    ),
  )
}

function cheapestOf(plan: Plan, standing: Standing, proofs: Set<number> | null): number {
  if (!proofs) return 0
  return Math.min(...[...proofs].map(check => costOf(plan, standing, check)))
}

/** "Something not in this tree" need not be separated from a cause, so it is left out. */
function byQuestions(plan: Plan, standing: Standing, shares: [number, number][]): number {
  const causes = shares.filter(([cause]) => cause >= 0).map(([, share]) => share)
  const inside = causes.reduce((sum, share) => sum + share, 0)
  const open = openChecks(plan, standing.done)
  if (causes.length < 2 || open.length === 0 || !(inside > 0)) return 0
  const answers = Math.max(2, ...open.map(check => answersOf(plan, standing, check)))
  const cheapest = Math.min(...open.map(check => plan.minutes[check] ?? 0))
  return (inside * entropy(causes.map(share => share / inside)) * cheapest) / Math.log2(answers)
}

function answersOf(plan: Plan, standing: Standing, check: number): number {
  return new Set(standing.alive.map(index => plan.hypotheses[index]?.rows[check])).size
}

/** Shannon's entropy in bits. */
export function entropy(chances: readonly number[]): number {
  return chances.reduce((sum, chance) => (chance > 0 ? sum - chance * Math.log2(chance) : sum), 0)
}
