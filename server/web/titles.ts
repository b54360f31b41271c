import { findCauseByKey } from '../knowledge/graph.ts'
import type { Deps } from './deps.ts'

/** The title of a cause by its key, `equipment/cause`; one that has gone from the edition in use keeps the words of its key. */
export function causeTitle(deps: Deps, key: string): string {
  const words = key.slice(key.indexOf('/') + 1).replaceAll('-', ' ')
  return findCauseByKey(deps.library.current().knowledge, key)?.title ?? words
}
