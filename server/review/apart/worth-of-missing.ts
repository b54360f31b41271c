// What is missing at a depot is weighed by walking every tree again without it, which takes some seconds: a process of its
// own does it beside the one that answers.

import {
  blankLimits,
  factsNotKnown,
  instrumentsNotCarried,
  type Missing,
  mixOf,
  worthOfMissing,
} from '../../diagnosis/judging/missing.ts'
import type { PastFault } from '../../diagnosis/ranking/cause-counts.ts'
import { compile } from '../../knowledge/compile.ts'
import type { Instrument } from '../../measurement/instruments/instrument.ts'
import type { PositionFacts } from '../../walk/fit.ts'

export interface ToWeigh {
  files: { path: string; text: string }[]
  past: PastFault[]
  /** Those in use. */
  instruments: Instrument[]
  positions: { equipment: string; facts: PositionFacts }[]
}

/** What it costs to be without something, in minutes of each fault; `checks` is how many tell nothing without it. */
export type Weighed = Pick<Missing, 'kind' | 'name' | 'equipment' | 'part'> & {
  checks: number
  minutes: number
}

/** Throws when the files do not compile. What costs most comes first. */
export function weigh({ files, past, instruments, positions }: ToWeigh): Weighed[] {
  const { knowledge } = compile(files)
  if (!knowledge) throw new Error('The edition does not compile.')
  const missing = [
    ...blankLimits(knowledge),
    ...instrumentsNotCarried(knowledge, instruments),
    ...factsNotKnown(knowledge, positions),
  ]
  return worthOfMissing(knowledge, mixOf(knowledge, past), missing).map(
    ({ kind, name, equipment, part, checks, minutes }) => ({
      ...{ kind, name, equipment, part, minutes },
      checks: checks.size,
    }),
  )
}

process.once('message', (asked: ToWeigh) => {
  process.send?.(weigh(asked), () => process.exit(0))
})
