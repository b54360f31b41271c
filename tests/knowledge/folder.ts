// Knowledge folders written in Markdown fences, for the tests of the compiler.

import { readFileSync } from 'node:fs'
import type { SourceFile } from '../../server/knowledge/types.ts'

export const guide = readFileSync(new URL('../../knowledge/README.md', import.meta.url), 'utf8')

/** The two files the authors' guide shows in full. */
export const guideFolder: SourceFile[] = changed([], guide.replace(/^```diff[\s\S]*?^```$/gm, ''))

/**
 * Applies the fences of a text to a folder: ```md PATH is a whole file, ```diff PATH changes one, ```repeat N PATH is a
 * file of one text N times. In a diff, lines with `-` and a space go, those with `+` come, and `@@` parts two places.
 */
export function changed(folder: SourceFile[], text: string): SourceFile[] {
  const files = new Map(folder.map(file => [file.path, file.text]))
  for (const [, kind, times, path = '', body = ''] of text.matchAll(
    /^```(md|diff|repeat) (?:(\d+) )?(\S+)\n([\s\S]*?)^```$/gm,
  )) {
    if (kind === 'md') files.set(path, body)
    else if (kind === 'repeat') files.set(path, body.repeat(Number(times)))
    else files.set(path, patched(files.get(path) ?? '', body, path))
  }
  return [...files].map(([path, text]) => ({ path, text }))
}

function patched(text: string, diff: string, path: string): string {
  let result = text
  for (const hunk of diff.split(/^@@\n/m)) {
    const lines = hunk.replace(/\n$/, '').split('\n')
    const part = (mark: string) => lines.filter(line => !line.startsWith(mark)).map(line => line.slice(2))
    const before = `${part('+').join('\n')}\n`
    if (result.split(before).length !== 2) throw new Error(`not once in ${path}:\n${before}`)
    result = result.replace(
      before,
      () =>
        `${part('-')
          .map(line => `${line}\n`)
          .join('')}`,
    )
  }
  return result
}
