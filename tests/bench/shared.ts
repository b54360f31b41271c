// What several figures of one run are measured on, made once for all of them, and removed when the run ends.

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { compile } from '../../server/knowledge/compile.ts'
import { readKnowledge } from '../../server/knowledge/load.ts'
import type { Knowledge } from '../../server/knowledge/types.ts'

/** Makes the value when it is first asked for, and gives the same one after that. A failure is not cached. */
export function once<T>(make: () => T): () => T {
  let made: { value: T } | null = null
  return () => {
    made ??= { value: make() }
    return made.value
  }
}

/** Ctrl-C and SIGTERM end the process by its `exit` event, where what was made is removed. */
export const exitOnSignals = once((): void => {
  process.once('SIGINT', () => process.exit(130))
  process.once('SIGTERM', () => process.exit(143))
})

/** The folder of this run for databases, removed when the process ends: also by an error, Ctrl-C or SIGTERM. */
export const runFolder = once((): string => {
  const folder = mkdtempSync(path.join(tmpdir(), 'fourfoot-bench-'))
  process.once('exit', () => rmSync(folder, { recursive: true, force: true }))
  exitOnSignals()
  return folder
})

/** The knowledge folder, compiled. Throws when it has errors. */
export const shippedKnowledge = once((): Knowledge => {
  const { knowledge } = compile(readKnowledge('knowledge').files)
  if (!knowledge) throw new Error('The knowledge folder has errors.')
  return knowledge
})
