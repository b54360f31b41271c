import type { SourceFile } from '../types.ts'

// Several knowledge files as one plain text, to send and to keep: a line `@@@ trees/x.md` before each file.

const mark = /^@@@ ((?:trees|equipment)\/[a-z0-9][a-z0-9-]*\.md)$/

/** A path a knowledge file may have: its folder, and a name that makes a good address. */
export function isKnowledgePath(path: string): boolean {
  return mark.test(`@@@ ${path}`) && path.length <= 120 && !path.endsWith('/readme.md')
}

export function writeBundle(files: SourceFile[]): string {
  return files.map(({ path, text }) => `@@@ ${path}\n${text.endsWith('\n') ? text : `${text}\n`}`).join('')
}

/**
 * The files of a bundle in its order; of two with one path the
 * later. `stray`: there are words before the first mark.
 */
export function readBundle(text: string): { files: SourceFile[]; stray: boolean } {
  const files = new Map<string, string[]>()
  let lines: string[] | null = null
  let stray = false
  for (const line of text.replaceAll('\r\n', '\n').split('\n')) {
    const path = mark.exec(line)?.[1]
    if (path) {
      lines = []
      files.set(path, lines)
    } else if (lines) lines.push(line)
    else if (line.trim()) stray = true
  }
  return { files: [...files].map(([path, all]) => ({ path, text: `${all.join('\n').trimEnd()}\n` })), stray }
}
