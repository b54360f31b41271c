// A mistake in a formula or a limit, as data: what was found, what was expected, how to mend it.

export interface FormulaProblem {
  found: string
  expected: string
  mend: string
  /** Nearest known name or unit, when one is near enough. */
  hint: string | null
}

/**
 * Thrown while reading a formula and caught by the function
 * that was asked to read it; never leaves the folder.
 */
export class FormulaError extends Error {
  readonly problem: FormulaProblem

  constructor(found: string, expected: string, mend: string, hint: string | null = null) {
    super(`${found}: expected ${expected}`)
    this.problem = { found, expected, mend, hint }
  }
}
