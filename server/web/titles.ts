import { findCauseByKey } from '../knowledge/graph.ts'
import type { Deps } from './deps.ts'

/** Title of a cause by its key, `equipment/cause`; in words of the key when the edition in use lacks it. */
export function causeTitle(deps: Deps, key: string): string {
  const words = key.slice(key.indexOf('/') + 1).replaceAll('-', ' ')
  return findCauseByKey(deps.library.current().knowledge, key)?.title ?? words
}
