import { findCauseByKey, findCheck } from '../knowledge/graph.ts'
import { capitalize } from '../words.ts'
import type { ReviewSource } from './source.ts'

/** What the knowledge in use calls things on record; what has gone from it keeps the words of its key. */
export interface Names {
  kind(slug: string): string
  /** The symptom a fault tree answers. */
  family(tree: string): string
  check(ref: { tree: string; check: string }): string
  cause(key: string): string
}

export function namesOf(deps: ReviewSource): Names {
  const { knowledge } = deps.library.current()
  const words = (key: string) => capitalize(key.slice(key.indexOf('/') + 1).replaceAll('-', ' '))
  return {
    kind: slug => knowledge.equipment.get(slug)?.name ?? words(slug),
    family: tree => capitalize(knowledge.trees.get(tree)?.symptom ?? words(tree)),
    check: ref => findCheck(knowledge, ref)?.title ?? words(ref.check),
    cause: key => findCauseByKey(knowledge, key)?.title ?? words(key),
  }
}
