import type { SourceFile } from '../types.ts'

export interface Merged {
  /** By path. For a file in conflict, `ours`. */
  files: SourceFile[]
  /** Paths that changed on both sides, each in its own way. */
  conflicts: string[]
}

/**
 * Three-way merge file by file: what changed on one side only is taken, a file that went is gone, and what
 * changed on both sides alike is no conflict.
 */
export function mergeFolders(sides: {
  base: SourceFile[]
  ours: SourceFile[]
  theirs: SourceFile[]
}): Merged {
  const base = textByPath(sides.base)
  const ours = textByPath(sides.ours)
  const theirs = textByPath(sides.theirs)
  const merged: Merged = { files: [], conflicts: [] }
  for (const path of [...new Set([...ours.keys(), ...theirs.keys()])].sort()) {
    const [was, mine, other] = [base.get(path), ours.get(path), theirs.get(path)]
    if (mine !== other && mine !== was && other !== was) merged.conflicts.push(path)
    const text = mine === was ? other : mine
    if (text !== undefined) merged.files.push({ path, text })
  }
  return merged
}

function textByPath(files: SourceFile[]): Map<string, string> {
  return new Map(files.map(({ path, text }) => [path, text]))
}
