// How a reading was taken, beyond the number: what it was
// worked out of, what was confirmed first, wet or dry.

export type CorrectionStep = 'mean of several' | 'leads zeroed' | 'leads subtracted' | 'volt drop under load'

export interface Correction {
  /** In the order they were done. */
  steps: CorrectionStep[]
  /** Every text as typed, with what it was of: "reading", "leads", "volt drop", "current". */
  typed: { what: string; text: string }[]
  /** The sums, numbers in and result, a line a step. */
  working: string[]
  /** A word about the method ("leads are worn"), or null. */
  advice: string | null
}

export interface Taken {
  /** Null where the reading stands as typed. */
  correction: Correction | null
  /** What was confirmed before an insulation tester was put on, in the words of the page. */
  confirmed: string[]
  /** For insulation; null where it was not said. */
  wetOrDry: 'dry' | 'wet' | null
}

/**
 * The correction in one line for a list: "0.8 Ω − 0.3 Ω of
 * leads = 0.5 Ω"; null where the reading stands as typed.
 */
export function correctionLine(taken: Taken | null | undefined): string | null {
  const working = taken?.correction?.working ?? []
  return working.length > 0 ? working.join('; ') : null
}
