// The knowledge in use: the edition newly published from the folder, or the one that stays because the folder has errors.

import { compile } from './knowledge/compile.ts'
import { hashEdition, hashFile, readKnowledge } from './knowledge/load.ts'
import type { Problem } from './knowledge/problem.ts'
import type { Knowledge, SourceFile } from './knowledge/types.ts'
import type { Storage } from './storage/storage.ts'

export interface Edition {
  id: string
  publishedAt: string
  knowledge: Knowledge
}

export interface Library {
  /** The edition new faults begin on. */
  current(): Edition
  /** An edition of the past, compiled on first use; null when the id is unknown. */
  edition(id: string): Edition | null
  /** What keeps the folder from being published; empty when it is in use as it stands. */
  problems(): Problem[]
}

/** No edition in use and none to be had from the folder: the program can't start. */
export class NoKnowledgeError extends Error {
  readonly problems: Problem[]

  constructor(problems: Problem[]) {
    super('The knowledge folder has errors and no earlier edition is in use.')
    this.problems = problems
  }
}

/**
 * Publishes the folder when it has no errors, else keeps the newest edition on record.
 * Throws NoKnowledgeError when there is neither.
 */
export function openLibrary(storage: Storage, dir: string): Library {
  const read = readKnowledge(dir)
  const compiled = compile(read.files)
  const problems = [...read.problems, ...compiled.problems]
  const errors = problems.filter(problem => problem.severity === 'error')
  if (errors.length === 0) publish(storage, read.files)

  const cache = new Map<string, Edition>()
  const edition = (id: string): Edition | null => {
    const known = cache.get(id) ?? loadEdition(storage, id)
    if (known) cache.set(id, known)
    return known
  }
  const newest = storage.editions.newest()
  const current = newest && edition(newest.id)
  if (!current) throw new NoKnowledgeError(problems)
  return { current: () => current, edition, problems: () => problems }
}

function publish(storage: Storage, files: SourceFile[]): void {
  const id = hashEdition(files)
  if (storage.editions.newest()?.id === id) return
  storage.editions.create({
    id,
    files: files.map(file => ({ ...file, sha256: hashFile(file.text) })),
    publishedBy: null,
    note: 'Published from the knowledge folder at start',
  })
}

/** An edition was published without errors, but perhaps by an older program with fewer checks: it stays usable. */
function loadEdition(storage: Storage, id: string): Edition | null {
  const row = storage.editions.get(id)
  if (!row) return null
  const { knowledge } = compile(storage.editions.files(id), { lenient: true })
  return knowledge && { id, publishedAt: row.publishedAt, knowledge }
}
