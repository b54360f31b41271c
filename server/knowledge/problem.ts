// A mistake in the knowledge folder, as data: never thrown, always collected.

import type { Source } from './types.ts'

export interface Problem {
  /** Stable, kebab-case: `link-target-unknown`. */
  code: string
  severity: 'error' | 'warning'
  source: Source
  /** The author's line as written. */
  quote: string
  found: string
  expected: string
  mend: string
  /** Nearest known name, when one is near enough. */
  hint: string | null
  /** Other places that matter: "first defined here". */
  related: { source: Source; note: string }[]
}
