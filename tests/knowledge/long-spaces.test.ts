import { expect, it } from 'vitest'
import { compile } from '../../server/knowledge/compile.ts'
import { processorTime } from '../support/processor-time.ts'
import { guideFolder } from './folder.ts'

// Just under a megabyte each, with lines just under the longest allowed. A pattern that tries each of many spaces anew took
// 3.5 s for the first.
const spaces = ' '.repeat(3900)
const texts: Record<string, string> = {
  'list items': `- x${spaces}y\n`,
  'items with tabs': `- x${'\t'.repeat(3900)}y\n`,
  'numbered items': `1. x${spaces}y\n`,
  'items that end in spaces': `- x${spaces}\n`,
  paragraphs: `x.${spaces}y\n\n`,
  quotes: `> x${spaces}y\n\n`,
  headings: `### x${spaces}y\n\n`,
  keys: `- Key: x${spaces}y\n\n`,
  'rows of a table': `| x${spaces}y | z |\n`,
}

it.each(Object.entries(texts))('%s with long spaces take little time', async (_, line) => {
  const [first, ...rest] = guideFolder.filter(file => file.path.startsWith('trees/'))
  if (!first) throw new Error('no tree')
  const others = guideFolder.filter(file => !file.path.startsWith('trees/'))
  const long = { ...first, text: `${first.text}\n${line.repeat(240)}` }
  expect(await processorTime(() => compile([...others, ...rest, long]))).toBeLessThan(1_000)
})
