// What was answered for a file of the same shape before: which column is what, and what its words mean.

import type { WordMeanings } from '../../../exchange/ready-rows.ts'
import { bare, type Subject } from '../../../exchange/subjects.ts'
import type { Deps } from '../../deps.ts'

/** As it is stored with each import. */
export interface Answers {
  /** Field → name of its column. */
  columns: Record<string, string>
  header?: string[]
  fixed?: Record<string, string>
  meanings?: WordMeanings
}

/** Of the newest import of a file with the same columns; null when there was none. */
export function rememberedColumns(
  { storage }: Deps,
  subject: Subject,
  header: string[],
): { columns: Record<string, number>; fixed: Record<string, string> } | null {
  const shape = header.map(bare).join('|')
  const answers = storage.imports
    .answers<Answers>(subject)
    .find(one => one.header !== undefined && one.header.map(bare).join('|') === shape)
  if (!answers) return null
  const columns = Object.entries(answers.columns).flatMap(([field, name]) => {
    const at = header.findIndex(one => bare(one) === bare(name))
    return at < 0 ? [] : [[field, at] as const]
  })
  return { columns: Object.fromEntries(columns), fixed: answers.fixed ?? {} }
}

/** What each wording was last taken for, of all imports. */
export function rememberedMeanings({ storage }: Deps, subject: Subject): WordMeanings {
  const all: WordMeanings = { symptoms: {}, causes: {} }
  for (const { meanings } of storage.imports.answers<Answers>(subject).reverse()) {
    Object.assign(all.symptoms, meanings?.symptoms)
    Object.assign(all.causes, meanings?.causes)
  }
  return all
}
