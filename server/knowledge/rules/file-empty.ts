import type { Problem } from '../problem.ts'
import type { SourceFile } from '../types.ts'
import { problemAt } from './problem-at.ts'

/** A file with nothing in it but space. */
export function fileEmpty(file: SourceFile): Problem[] {
  return file.text.trim() === '' ? [fileEmptyProblem(file.path)] : []
}

export function fileEmptyProblem(path: string): Problem {
  return problemAt({ path, lines: [''] }, 1, {
    code: 'file-empty',
    found: 'The file is empty.',
    expected: 'A knowledge file begins with a heading: # Title.',
    mend: 'Write the file, or delete it.',
  })
}
