// A draft seen with the files it will stand among: those in use, and the other drafts its writer has begun.

import { compile } from '../../../knowledge/compile.ts'
import type { Problem } from '../../../knowledge/problem.ts'
import type { Equipment, FaultTree, Knowledge, SourceFile } from '../../../knowledge/types.ts'
import type { Draft } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'

export interface Checked {
  files: SourceFile[]
  /** Whatever could be made of the files. */
  knowledge: Knowledge
  /** What is wrong in the draft's own file, by line. */
  problems: Problem[]
  /** What it breaks in other files. */
  elsewhere: Problem[]
  /** No error anywhere. */
  sound: boolean
  tree: FaultTree | null
  equipment: Equipment | null
}

/** What tells which other drafts a draft is checked with. */
export type DraftNamed = Pick<Draft, 'id' | 'path' | 'begunBy'>

/** Checks a text as the draft's, without keeping it. Null: the file is taken out. */
export function checkDraft(deps: Deps, draft: DraftNamed, text: string | null): Checked {
  const files = filesWith(deps, draft, text)
  const { knowledge, problems } = compile(files, { lenient: true })
  const ofDraft = problems.filter(problem => problem.source.path === draft.path)
  const slug = slugOf(draft.path)
  const isTree = draft.path.startsWith('trees/')
  const tree = isTree ? (knowledge?.trees.get(slug) ?? null) : null
  return {
    files,
    knowledge: knowledge ?? { equipment: new Map(), trees: new Map() },
    problems: ofDraft.sort((a, b) => a.source.line - b.source.line),
    elsewhere: problems.filter(problem => problem.source.path !== draft.path),
    sound: problems.every(problem => problem.severity === 'warning'),
    tree,
    equipment: knowledge?.equipment.get(isTree ? (tree?.equipment ?? '') : slug) ?? null,
  }
}

/** The files in use with a change laid over them; a text of null takes the file out. */
export function overlaid(
  files: SourceFile[],
  changes: { path: string; text: string | null }[],
): SourceFile[] {
  const byPath = new Map<string, string | null>(files.map(({ path, text }) => [path, text]))
  for (const { path, text } of changes) byPath.set(path, text)
  return [...byPath]
    .flatMap(([path, text]) => (text === null ? [] : [{ path, text }]))
    .sort((a, b) => (a.path < b.path ? -1 : 1))
}

/** `trees/no-drive.md` → `no-drive` */
export function slugOf(path: string): string {
  return path.slice(path.indexOf('/') + 1, -'.md'.length)
}

/** The other drafts a draft is checked together with. */
export function companions(deps: Deps, draft: DraftNamed): Draft[] {
  return deps.storage.drafts.list().filter(one => one.begunBy === draft.begunBy && one.id !== draft.id)
}

function filesWith(deps: Deps, draft: DraftNamed, text: string | null): SourceFile[] {
  const inUse = deps.library.files(deps.library.current().id)
  const others = companions(deps, draft).map(({ path, head }) => ({ path, text: head.text }))
  return overlaid(inUse, [...others, { path: draft.path, text }])
}
