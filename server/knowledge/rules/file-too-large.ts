import type { Problem } from '../problem.ts'
import type { SourceFile } from '../types.ts'
import { problemAt } from './problem-at.ts'

/** In bytes. */
export const LARGEST_FILE = 1_000_000
const MOST_LINES = 8_000

/** A file of more than 1 MB or 8,000 lines: not written by hand. */
export function fileTooLarge(file: SourceFile): Problem[] {
  if (file.text.length > LARGEST_FILE) return [fileTooLargeProblem(file.path, file.text.length)]
  const lines = countLines(file.text)
  return lines > MOST_LINES ? [tooLarge(file.path, `The file has ${lines} lines.`)] : []
}

export function fileTooLargeProblem(path: string, bytes: number): Problem {
  return tooLarge(path, `The file has ${bytes} bytes.`)
}

function tooLarge(path: string, found: string): Problem {
  return problemAt({ path, lines: [''] }, 1, {
    code: 'file-too-large',
    found,
    expected: 'A knowledge file has at most 1,000,000 bytes and 8,000 lines.',
    mend: 'Split the tree: a row may lead into another tree.',
  })
}

function countLines(text: string): number {
  let lines = 1
  for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) lines++
  return lines
}
