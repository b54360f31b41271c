// The knowledge in use: read from the folder at start, or published in the program. The folder is taken in only when it
// has changed since it was last taken in, and never over what was published meanwhile.

import { randomId } from '#platform'
import { AppError } from './errors.ts'
import { compile } from './knowledge/compile.ts'
import { mergeFolders } from './knowledge/editions/merge-folders.ts'
import { hashEdition, hashFile, readKnowledge } from './knowledge/load.ts'
import type { Problem } from './knowledge/problem.ts'
import type { Knowledge, SourceFile } from './knowledge/types.ts'
import { editionBefore } from './storage/knowledge/publications.ts'
import type { Storage } from './storage/storage.ts'

export interface Edition {
  id: string
  publishedAt: string
  knowledge: Knowledge
}

/** A file that is not the same on disk and in the edition in use. */
export interface FolderDifference {
  path: string
  how: 'only on disk' | 'only in use' | 'changed on disk' | 'changed in the program' | 'changed in both'
}

export interface Library {
  /** The edition new faults begin on. */
  current(): Edition
  /** An edition of the past, compiled on first use; null when the id is unknown. */
  edition(id: string): Edition | null
  /** The files of an edition as they were published. */
  files(id: string): SourceFile[]
  /** The problems that prevent the folder from being taken in; empty without any. */
  problems(): Problem[]
  /** The folder as it is on disk now, and where it is not what is in use. */
  folder(): { files: SourceFile[]; differences: FolderDifference[] }
  /** Puts the files to use. 'conflict' when they have errors or another edition came between. */
  publish(files: SourceFile[], over: string, made: Made & { proposalId: string }): Edition
  /** Back to the edition in use before this one. 'conflict' when there is none, or another came between. */
  withdraw(editionId: string, made: Made): Edition
}

interface Made {
  id: string
  by: string
  note: string
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
 * Takes the folder in when it has changed and has no errors, else the edition in use stays.
 * Throws NoKnowledgeError when there is neither.
 */
export function openLibrary(storage: Storage, dir: string): Library {
  const read = readKnowledge(dir)
  const compiled = compile(read.files)
  const problems = takeIn(storage, read, compiled)
  const edition = createEditionCache(storage, { id: hashEdition(read.files), knowledge: compiled.knowledge })
  // In memory, so that an error page can name it while the database does not answer.
  let inUse = newestEdition(storage, edition, problems)

  function change(over: string, make: () => void): Edition {
    storage.transaction(() => {
      mustBeCurrent(inUse.id, over)
      make()
    })
    inUse = newestEdition(storage, edition, problems)
    return inUse
  }

  return {
    current: () => inUse,
    edition,
    files: id => storage.editions.files(id),
    problems: () => problems,
    folder: () => folderNow(storage, dir, inUse.id),
    publish: (files, over, made) => change(over, () => publishProposal(storage, files, made)),
    withdraw: (editionId, made) =>
      change(editionId, () => {
        const earlier = editionBefore(storage.publications.list())
        if (!earlier) throw new AppError('conflict', 'There is no earlier edition to go back to.')
        const how = { how: 'withdrawal', proposalId: null, folderId: null } as const
        storage.publications.create({ ...made, ...how, editionId: earlier })
      }),
  }
}

type FindEdition = (id: string) => Edition | null

/** Compiles each edition once. `folder` is compiled already, and most often what is in use. */
function createEditionCache(
  storage: Storage,
  folder: { id: string; knowledge: Knowledge | null },
): FindEdition {
  const cache = new Map<string, Edition>()
  return id => {
    const compiled = id === folder.id ? folder.knowledge : null
    const edition = cache.get(id) ?? loadEdition(storage, id, compiled)
    if (edition) cache.set(id, edition)
    return edition
  }
}

function newestEdition(storage: Storage, find: FindEdition, problems: Problem[]): Edition {
  const newest = storage.publications.newest()
  const edition = newest && find(newest.editionId)
  if (!edition) throw new NoKnowledgeError(problems)
  return { ...edition, publishedAt: newest.at }
}

function publishProposal(storage: Storage, files: SourceFile[], made: Made & { proposalId: string }): void {
  if (!compile(files).knowledge)
    throw new AppError('conflict', 'What is proposed has errors now. Check it again.')
  saveEdition(storage, files, made.by, made.note)
  const how = { how: 'proposal', folderId: null } as const
  storage.publications.create({ ...made, ...how, editionId: hashEdition(files) })
}

/** Gives the problems that prevent the folder from being taken in. */
function takeIn(
  storage: Storage,
  read: ReturnType<typeof readKnowledge>,
  compiled: ReturnType<typeof compile>,
): Problem[] {
  const problems = [...read.problems, ...compiled.problems]
  if (problems.some(problem => problem.severity === 'error')) return problems
  const base = storage.publications.newestFromFolder()
  const folderId = hashEdition(read.files)
  if (base?.folderId === folderId) return problems
  const inUse = storage.publications.newest()
  const merged = mergeFolders({
    base: base?.folderId ? storage.editions.files(base.folderId) : [],
    ours: inUse ? storage.editions.files(inUse.editionId) : [],
    theirs: read.files,
  })
  if (merged.conflicts.length > 0) return [...merged.conflicts.map(bothChanged), ...problems]
  if (hashEdition(merged.files) !== folderId) {
    const together = compile(merged.files)
    if (!together.knowledge) return together.problems
  }
  publishFolder(storage, read.files, merged.files)
  return problems
}

function publishFolder(storage: Storage, folder: SourceFile[], files: SourceFile[]): void {
  storage.transaction(() => {
    const note = 'Taken in from the knowledge folder at start'
    saveEdition(storage, folder, null, note)
    saveEdition(storage, files, null, note)
    storage.publications.create({
      id: randomId(),
      editionId: hashEdition(files),
      folderId: hashEdition(folder),
      note,
      by: null,
      how: 'folder',
      proposalId: null,
    })
  })
}

function saveEdition(storage: Storage, files: SourceFile[], publishedBy: string | null, note: string): void {
  const hashed = files.map(file => ({ path: file.path, text: file.text, sha256: hashFile(file.text) }))
  storage.editions.create({ id: hashEdition(files), files: hashed, publishedBy, note })
}

function folderNow(storage: Storage, dir: string, editionId: string) {
  const { files } = readKnowledge(dir)
  const baseId = storage.publications.newestFromFolder()?.folderId
  const [base, inUse, disk] = [
    baseId ? storage.editions.files(baseId) : [],
    storage.editions.files(editionId),
    files,
  ].map(list => new Map(list.map(({ path, text }) => [path, text])))
  const paths = [...new Set([...(inUse?.keys() ?? []), ...(disk?.keys() ?? [])])].sort()
  const differences = paths.flatMap(path => {
    const how = difference(base?.get(path), inUse?.get(path), disk?.get(path))
    return how ? [{ path, how }] : []
  })
  return { files, differences }
}

function difference(base?: string, inUse?: string, disk?: string): FolderDifference['how'] | null {
  if (inUse === disk) return null
  if (disk !== base && inUse !== base) return 'changed in both'
  if (inUse === undefined) return disk === base ? 'changed in the program' : 'only on disk'
  if (disk === undefined) return inUse === base ? 'changed on disk' : 'only in use'
  return disk === base ? 'changed in the program' : 'changed on disk'
}

function bothChanged(path: string): Problem {
  return {
    code: 'changed-twice',
    severity: 'error',
    source: { path, line: 1 },
    quote: '',
    hint: null,
    related: [],
    found: 'This file was changed in the folder and in the program, each in its own way.',
    expected: 'A file is changed in one of the two, or in both alike. Nothing was taken in from the folder.',
    mend: 'Open it under Fault trees, take what is wanted from both, and publish. Put the published file in the folder.',
  }
}

function mustBeCurrent(current: string, wanted: string): void {
  if (current !== wanted)
    throw new AppError(
      'conflict',
      'Another edition came into use meanwhile. Look at what changed, then try again.',
    )
}

/** An edition was published without errors, but perhaps by an older program with fewer checks: it stays usable. */
function loadEdition(storage: Storage, id: string, ready: Knowledge | null): Edition | null {
  const row = storage.editions.list().find(one => one.id === id)
  if (!row) return null
  const knowledge = ready ?? compile(storage.editions.files(id), { lenient: true }).knowledge
  return knowledge && { id, publishedAt: row.publishedAt, knowledge }
}
