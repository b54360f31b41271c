import type { Problem } from '../problem.ts'
import type { SourceFile } from '../types.ts'
import { problemAt } from './problem-at.ts'

/** A file saved in another encoding: `20 �C` where `20 °C` was meant. */
export function fileNotUtf8(file: SourceFile): Problem[] {
  if (!/[\uFFFD\0]/.test(file.text)) return []
  const lines = file.text.split('\n')
  const index = lines.findIndex(line => line.includes('\uFFFD') || line.includes('\0'))
  return index < 0 ? [] : [fileNotUtf8Problem(file.path, lines, index + 1)]
}

export function fileNotUtf8Problem(path: string, lines: string[] = [''], line = 1): Problem {
  return problemAt({ path, lines }, line, {
    code: 'file-not-utf8',
    found: 'Some letters of this file can’t be read: it is not in UTF-8, or it is no text at all.',
    expected: 'Knowledge files are plain text in UTF-8.',
    mend: 'Save the file again with the encoding UTF-8.',
  })
}
