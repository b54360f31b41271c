// Bayes' rule, once.

/** How each probability moves when evidence comes in, and how likely the evidence was altogether. */
export interface Update {
  /** after[i] = before[i] × moves[i] */
  moves: number[]
  /** Chance of the evidence: Σ before × chance. */
  evidence: number
}

/**
 * `before` adds up to 1; `chances` are those of the evidence under each. Evidence that is impossible under all moves
 * nothing: better to keep what was known than to divide by 0.
 */
export function update(before: readonly number[], chances: readonly number[]): Update {
  const evidence = before.reduce((sum, probability, index) => sum + probability * (chances[index] ?? 1), 0)
  if (!(evidence > 0)) return { moves: before.map(() => 1), evidence: 0 }
  return { moves: before.map((_, index) => (chances[index] ?? 1) / evidence), evidence }
}
