import type { Problem } from '../problem.ts'
import type { SourceFile } from '../types.ts'
import { problemAt } from './problem-at.ts'

/** A file that is not `equipment/….md` or `trees/….md`, such as `../secret.md`. */
export function fileOutside(file: SourceFile): Problem[] {
  const fits = /^(equipment|trees)\/[^/\\]+\.md$/.test(file.path)
  return fits ? [] : [fileOutsideProblem(file.path, 'It lies where no knowledge file belongs.')]
}

export function fileOutsideProblem(path: string, found: string): Problem {
  return problemAt({ path, lines: [''] }, 1, {
    code: 'file-outside',
    found,
    expected: 'Knowledge files lie in the folders equipment and trees, and their names end in .md.',
    mend: 'Move the file itself into one of the two folders.',
  })
}
