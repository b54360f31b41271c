// A plan packed into bits, so that sets of checks and of hypotheses are single numbers.

import { isOpen, openChecks, type Plan, type Standing, signOf, useful } from './plan.ts'

/** Together they fit a number exactly. */
const mostChecks = 22
const mostHypotheses = 30

export interface Small {
  /** Index in the plan of each check by bit. */
  checks: number[]
  /** Bit of each hypothesis of the plan; twins share one. */
  bitOf: Map<number, number>
  weights: number[]
  groups: number[]
  all: number
  weight: number
  minutes: number[]
  /**
   * Minutes of the access each check needs, 0 when it is open
   * from the start; and the checks that open it too.
   */
  opening: number[]
  openedBy: number[]
  prerequisites: number[]
  barredBy: number[]
  /**
   * Checks that open each check's gate by being done; and for
   * other checks, the hypotheses whose row leads there.
   */
  gates: ({ entries: number; steps: { check: number; set: number }[] } | null)[]
  /** parts[check]: for each row, the hypotheses that show it. */
  parts: number[][]
  /** For each hypothesis the checks that prove it; 0 where nothing more is needed. */
  proofs: number[]
  /** Each check with all that it may need first, and all of these for what proves a hypothesis. */
  needs: number[]
  provenWith: number[]
}

/**
 * The plan from a standing in bits, or null when it has too many checks or hypotheses. Checks that can't help
 * any more are left out; hypotheses that no check left separates share a bit.
 */
export function compress(plan: Plan, standing: Standing): Small | null {
  const checks = helpful(plan, standing)
  if (checks.length > mostChecks) return null
  const at = new Map(checks.map((check, bit) => [check, bit]))
  const { bitOf, kept, weights } = merged(plan, standing, checks)
  if (weights.length > mostHypotheses) return null
  // Without any weight the order would not matter; weigh all alike, so that it still ends.
  if (!weights.some(weight => weight > 0)) weights.fill(1)
  const mask = (list: number[] | undefined) =>
    (list ?? []).reduce((sum, check) => sum | (at.has(check) ? 1 << (at.get(check) ?? 0) : 0), 0)
  const proofs = kept
    .map(index => provedBy(plan, standing, bitOf, bitOf.get(index) ?? 0))
    .map(list => (list === null ? 0 : mask(list)))
  const prerequisites = checks.map(check => mask(plan.prerequisites[check]))
  const gates = checks.map(check =>
    isOpen(plan, standing, check) ? null : gateOf(plan, kept, at, mask, check),
  )
  const needs = needsOf(prerequisites, gates)
  return {
    checks,
    bitOf,
    weights,
    groups: kept.map(index => plan.hypotheses[index]?.cause ?? -1),
    all: 2 ** weights.length - 1,
    weight: weights.reduce((sum, weight) => sum + weight, 0),
    minutes: checks.map(check => plan.minutes[check] ?? 0),
    opening: checks.map(check => openingOf(plan, standing, check)),
    openedBy: checks.map(check => mask(checks.filter(other => plan.access[other] === plan.access[check]))),
    prerequisites,
    barredBy: checks.map(check => mask(plan.barredBy[check])),
    gates,
    parts: checks.map(check => partsOf(plan, kept, check)),
    proofs,
    needs,
    provenWith: proofs.map(set =>
      needs.reduce((sum, all, check) => (set & (1 << check) ? sum | all : sum), 0),
    ),
  }
}

function needsOf(prerequisites: number[], gates: Small['gates']): number[] {
  const needs = prerequisites.map((first, check) => {
    const steps = gates[check]?.steps.reduce((sum, step) => sum | (1 << step.check), 0) ?? 0
    return (1 << check) | first | (gates[check]?.entries ?? 0) | steps
  })
  // Warshall's closure: through each check in turn.
  for (const [via, itsNeeds] of needs.entries()) {
    for (const [check, all] of needs.entries())
      if (all & (1 << via)) needs[check] = all | (needs[via] ?? itsNeeds)
  }
  return needs
}

/** A bit for all hypotheses of one cause that show the same at every check left. */
function merged(plan: Plan, standing: Standing, checks: number[]) {
  const bitOf = new Map<number, number>()
  const signs = new Map<string, number>()
  const weights: number[] = []
  const kept: number[] = []
  for (const index of standing.alive) {
    const hypothesis = plan.hypotheses[index]
    if (!hypothesis) continue
    const sign = `${hypothesis.cause}:${signOf(hypothesis, checks)}`
    const bit = signs.get(sign) ?? weights.length
    signs.set(sign, bit)
    if (bit === weights.length) kept.push(index)
    weights[bit] = (weights[bit] ?? 0) + hypothesis.weight
    bitOf.set(index, bit)
  }
  return { bitOf, kept, weights }
}

/**
 * Checks that separate or prove hypotheses still alive, with
 * their prerequisites. One that does neither now never will.
 */
function helpful(plan: Plan, standing: Standing): number[] {
  const open = openChecks(plan, standing.done)
  const wanted = new Set(open.filter(check => useful(plan, standing, check)))
  for (const check of wanted) {
    for (const first of plan.prerequisites[check] ?? []) if (!standing.done[first]) wanted.add(first)
    const gate = plan.gates[check]
    for (const from of [...(gate?.entries ?? []), ...(gate?.steps ?? []).map(step => step.check)]) {
      if (!standing.done[from]) wanted.add(from)
    }
  }
  return open.filter(check => wanted.has(check))
}

/** The proofs of the hypotheses behind a bit, or null when one of them needs nothing more. */
function provedBy(plan: Plan, standing: Standing, bitOf: Map<number, number>, bit: number): number[] | null {
  const proofs: number[] = []
  for (const [index, itsBit] of bitOf) {
    if (itsBit !== bit) continue
    const list = plan.hypotheses[index]?.proofs ?? []
    if (list.length === 0 || list.some(check => standing.done[check])) return null
    proofs.push(...list)
  }
  return proofs
}

function gateOf(
  plan: Plan,
  kept: number[],
  at: Map<number, number>,
  mask: (list: number[]) => number,
  check: number,
): Small['gates'][number] {
  const gate = plan.gates[check]
  if (!gate) return null
  const steps = gate.steps.flatMap(step => {
    const bit = at.get(step.check)
    const set = kept.reduce(
      (sum, index, bit) => (plan.hypotheses[index]?.rows[step.check] === step.row ? sum | (1 << bit) : sum),
      0,
    )
    return bit === undefined ? [] : [{ check: bit, set }]
  })
  return { entries: mask(gate.entries), steps }
}

function openingOf(plan: Plan, standing: Standing, check: number): number {
  const access = plan.access[check] ?? -1
  return access < 0 || standing.opened[access] ? 0 : (plan.accessMinutes[access] ?? 0)
}

function partsOf(plan: Plan, kept: number[], check: number): number[] {
  const parts = new Map<number, number>()
  kept.forEach((index, bit) => {
    const row = plan.hypotheses[index]?.rows[check] ?? -1
    parts.set(row, (parts.get(row) ?? 0) | (1 << bit))
  })
  return [...parts.values()]
}
