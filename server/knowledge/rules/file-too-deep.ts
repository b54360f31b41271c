import type { Problem } from '../problem.ts'
import type { SourceFile } from '../types.ts'
import { problemAt } from './problem-at.ts'

const LONGEST_LINE = 4_000
const DEEPEST = 6

/** A line that nests quotes or lists seven deep (`>>>>>>> …`), is indented beyond reason, or is very long. */
export function fileTooDeep(file: SourceFile): Problem[] {
  const lines = file.text.split('\n')
  const index = lines.findIndex(isTooDeep)
  if (index < 0) return []
  return [
    problemAt({ path: file.path, lines }, index + 1, {
      code: 'file-too-deep',
      found: 'The line is too long, or its quotes or lists are nested too deep.',
      expected: `A line has at most ${LONGEST_LINE} letters, and quotes and lists nest at most ${DEEPEST} deep.`,
      mend: 'Break the line up, and write it flat.',
    }),
  ]
}

function isTooDeep(line: string): boolean {
  if (line.length > LONGEST_LINE) return true
  if (!/^[\t >*+\-\d]/.test(line)) return false
  const lead = /^(?:[\t >*+-]|\d{1,9}[.)] )*/.exec(line)?.[0] ?? ''
  if (lead.length <= DEEPEST) return false
  const marks = lead.replace(/\d+[.)]/g, '-').replace(/[\t ]/g, '')
  const isRule = /^[\s*-]+$/.test(line)
  return (!isRule && marks.length > DEEPEST) || lead.length > 40
}
