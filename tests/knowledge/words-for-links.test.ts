import path from 'node:path'
import { describe, expect, it } from 'vitest'
import { compile } from '../../server/knowledge/compile.ts'
import { readKnowledge } from '../../server/knowledge/load.ts'

const { files } = readKnowledge(path.join(import.meta.dirname, '../support/knowledge'))

/** Errors when that line of the file is written so, each with its place. */
function errorsWith(file: string, from: RegExp, to: string): string[] {
  const changed = files.map(one => (one.path === file ? { ...one, text: one.text.replace(from, to) } : one))
  return compile(changed, { lenient: true })
    .problems.filter(({ severity }) => severity === 'error')
    .map(({ code, source }) => `${code} ${source.path}:${source.line}`)
}

const lineOf = (file: string, words: RegExp) => {
  const text = files.find(one => one.path === file)?.text ?? ''
  return text.slice(0, text.search(words)).split('\n').length
}

describe('words where a link is wanted', () => {
  it.each([
    ['trees/dead.md', /- Start: .*/, '- Start: Supply'],
    ['trees/dead.md', /- Equipment: .*/, '- Equipment: Small transmitter'],
  ])('are a mistake on their own line alone: %s %s', (file, from, to) => {
    expect(errorsWith(file, from, to)).toEqual([`key-value ${file}:${lineOf(file, from)}`])
  })
})
