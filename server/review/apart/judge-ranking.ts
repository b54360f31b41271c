// Judging the ranking takes a minute on a depot's history, so
// a process of its own does it beside the one that answers.

import { qualityOf } from '../../diagnosis/judging/quality.ts'
import type { PastFault } from '../../diagnosis/ranking/cause-counts.ts'
import { compile } from '../../knowledge/compile.ts'

export interface ToJudge {
  files: { path: string; text: string }[]
  past: PastFault[]
}

process.once('message', (asked: ToJudge) => {
  const { knowledge } = compile(asked.files)
  if (!knowledge) throw new Error('The edition does not compile.')
  process.send?.(qualityOf(knowledge, asked.past), () => process.exit(0))
})
