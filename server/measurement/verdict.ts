// Reading against range: where it lies, how sure that is, and why, in words.

export interface Verdict {
  /** Where the reading lies by the simple rule. `unknown`: there was no limit to hold it against. */
  side: 'in range' | 'below' | 'above' | 'none' | 'open' | 'unknown'
  /** How sure: `close` is too close to call with this instrument. `simple`: no instrument was named. */
  zone: 'in' | 'in, close' | 'out, close' | 'out' | 'no verdict'
  rule: 'guarded' | 'simple' | 'none'
  /** Chance that the true value is in range, 0 to 1; null without an instrument or a range. */
  probability: number | null
  /** Expanded uncertainty, k = 2, in the reading's base unit; null without an instrument. */
  uncertainty: number | null
  /** "96.4 V is below 99 to 121 V" */
  because: string
  /** What to do for a surer answer, or a warning ("lower than the copper could have"); null when nothing. */
  advice: string | null
}
