// The question behind "what next" as plain numbers, so that every order of checks is costed by the same rule.
//
// The cost of an order: the minutes spent until the cause is proven, averaged over what may be wrong. One
// thing is wrong. Each check shows what that thing shows there (slips are in the weights, not in the plan). A
// cause is proven when a check whose row names it has been done, and every other cause of the tree is
// excluded by what was found. Causes that no check left can separate count as one. "Something not in this
// tree" is over when every cause is excluded. A check costs its minutes; an access costs its minutes once,
// the first time a check needs it.

export interface Plan {
  /** Minutes of each check. */
  minutes: number[]
  /** The access each check needs, or -1, and the minutes of each access. */
  access: number[]
  accessMinutes: number[]
  /** Checks that must be done before each check. */
  prerequisites: number[][]
  /** Checks after which each check may no longer be done. */
  barredBy: number[][]
  /** Checks that may not be suggested at all. */
  closed: boolean[]
  /** What must have led to a check, or null where nothing need have. */
  gates: (Gate | null)[]
  hypotheses: Hypothesis[]
}

/**
 * A check of another tree: a row that leads there must have
 * been found, or one of that tree's ways in been done.
 */
export interface Gate {
  steps: { check: number; row: number }[]
  entries: number[]
}

export interface Hypothesis {
  /** Any scale. */
  weight: number
  /** Which cause; -1 is something not in this tree. Several hypotheses may be ways of one cause. */
  cause: number
  /** The cause itself, where `cause` is a group. */
  ownCause?: number
  /** The row each check would show. */
  rows: Int16Array
  /** The checks that prove it, any one of which will do; none: it is enough that the others are excluded. */
  proofs: number[]
}

/** Where a diagnosis stands. */
export interface Standing {
  done: Uint8Array
  opened: Uint8Array
  /** Where the author's order stands: the check it comes to next, or -1. */
  at: number
  /** Indices of the hypotheses that agree with what was found. */
  alive: number[]
}

/** What to do next: the index of a check, or -1 when nothing helps. */
export type Policy = (standing: Standing) => number

/** Minutes of doing a check now, with the access it opens. */
export function costOf(plan: Plan, standing: Standing, check: number): number {
  const access = plan.access[check] ?? -1
  const opening = access >= 0 && !standing.opened[access] ? (plan.accessMinutes[access] ?? 0) : 0
  return (plan.minutes[check] ?? 0) + opening
}

/** Whether a check may be done now. */
export function allowed(plan: Plan, standing: Standing, check: number): boolean {
  const { done } = standing
  if (done[check] || plan.closed[check] || !isOpen(plan, standing, check)) return false
  for (const first of plan.prerequisites[check] ?? []) if (!done[first]) return false
  for (const bar of plan.barredBy[check] ?? []) if (done[bar]) return false
  return true
}

/** Whether what is done has led to a check, or nothing need have. */
export function isOpen(plan: Plan, { done, alive }: Standing, check: number): boolean {
  const gate = plan.gates[check]
  if (!gate || gate.entries.some(entry => done[entry])) return true
  // Everything alive agrees on what was found.
  const rows = plan.hypotheses[alive[0] ?? -1]?.rows
  return gate.steps.some(step => done[step.check] && rows?.[step.check] === step.row)
}

/** The standing after a check came to a row. `at` is where that row leads in the author's order. */
export function after(plan: Plan, standing: Standing, check: number, row: number, at: number): Standing {
  const done = standing.done.slice()
  const opened = standing.opened.slice()
  done[check] = 1
  const access = plan.access[check] ?? -1
  if (access >= 0) opened[access] = 1
  const alive = standing.alive.filter(index => plan.hypotheses[index]?.rows[check] === row)
  return { done, opened, at, alive }
}

/** The hypotheses alive, grouped by the row a check would show. */
export function parted(plan: Plan, alive: number[], check: number): Map<number, number[]> {
  const parts = new Map<number, number[]>()
  for (const index of alive) {
    const row = plan.hypotheses[index]?.rows[check] ?? -1
    const part = parts.get(row)
    if (part) part.push(index)
    else parts.set(row, [index])
  }
  return parts
}

/** Whether a check separates the hypotheses alive, or proves one of them. */
export function useful(plan: Plan, standing: Standing, check: number): boolean {
  const first = plan.hypotheses[standing.alive[0] ?? -1]?.rows[check]
  for (const index of standing.alive) {
    const hypothesis = plan.hypotheses[index]
    if (hypothesis?.rows[check] !== first || hypothesis?.proofs.includes(check)) return true
  }
  return false
}

/**
 * The plan with causes that no check left can separate counted as one, without proofs that are out of reach.
 * The cause numbers of the result are groups.
 */
export function settled(plan: Plan, standing: Standing): Plan {
  const open = openChecks(plan, standing.done)
  const groups = grouped(plan, standing, open)
  const hypotheses = plan.hypotheses.map(hypothesis => {
    const cause = groups.get(hypothesis.cause) ?? hypothesis.cause
    const had = hypothesis.proofs.filter(check => standing.done[check] || open.includes(check))
    return { ...hypothesis, cause, ownCause: hypothesis.ownCause ?? hypothesis.cause, proofs: had }
  })
  return { ...plan, hypotheses }
}

/** Whether the cause is proven, by the rule at the top. For a plan that is `settled`. */
export function proven(plan: Plan, standing: Standing): boolean {
  let cause = -1
  let shown = true
  for (const index of standing.alive) {
    const hypothesis = plan.hypotheses[index]
    if (!hypothesis || hypothesis.cause < 0) continue
    if (cause >= 0 && hypothesis.cause !== cause) return false
    const here = hypothesis.proofs.length === 0 || hypothesis.proofs.some(check => standing.done[check])
    shown = cause < 0 ? here : shown || here
    cause = hypothesis.cause
  }
  return shown
}

/** Checks that can still come: not done, not closed, and nothing they need is out of reach. */
export function openChecks(plan: Plan, done: Uint8Array): number[] {
  let open = plan.minutes.map((_, check) => check).filter(check => !done[check] && !plan.closed[check])
  for (let lengthBefore = -1; lengthBefore !== open.length; ) {
    lengthBefore = open.length
    const possible = new Set(open)
    open = open.filter(check => {
      const barred = (plan.barredBy[check] ?? []).some(bar => done[bar])
      const gate = plan.gates[check]
      const led =
        !gate ||
        [...gate.entries, ...gate.steps.map(step => step.check)].some(
          from => done[from] || possible.has(from),
        )
      return (
        !barred && led && (plan.prerequisites[check] ?? []).every(first => done[first] || possible.has(first))
      )
    })
  }
  return open
}

function grouped(plan: Plan, standing: Standing, open: number[]): Map<number, number> {
  const bySign = new Map<string, number>()
  const groups = new Map<number, number>()
  for (const index of standing.alive) {
    const hypothesis = plan.hypotheses[index]
    if (!hypothesis || hypothesis.cause < 0) continue
    const sign = signOf(hypothesis, open)
    const twin = bySign.get(sign)
    if (twin === undefined) bySign.set(sign, hypothesis.cause)
    else join(groups, twin, hypothesis.cause)
  }
  return new Map([...groups.keys()].map(cause => [cause, leader(groups, cause)]))
}

/** What a hypothesis shows at some checks, as a key. */
export function signOf(hypothesis: Hypothesis, checks: number[]): string {
  let sign = ''
  for (const check of checks) sign += String.fromCharCode((hypothesis.rows[check] ?? -1) + 1)
  return sign
}

function join(groups: Map<number, number>, a: number, b: number) {
  const [first, second] = [leader(groups, a), leader(groups, b)]
  if (first === second) return
  groups.set(Math.max(first, second), Math.min(first, second))
}

function leader(groups: Map<number, number>, cause: number): number {
  const above = groups.get(cause)
  return above === undefined ? cause : leader(groups, above)
}
