import { describe, expect, it } from 'vitest'
import { compile } from '../../server/knowledge/compile.ts'
import { coverageOf } from '../../server/knowledge/coverage.ts'
import { pathsTo } from '../../server/knowledge/graph.ts'
import { processorTime } from '../support/processor-time.ts'
import { guideFolder } from './folder.ts'
import { manyTrees, mutated, seeded } from './generated.ts'
import { compileSpoilt } from './spoilt.ts'

/** Seeded, so that a failure can be had again; the bench spoils ten thousand. */
const RUNS = 200

describe('files spoilt in every way', () => {
  it('are compiled without a crash, with every problem at a line of the text, quoted as it stands there', async () => {
    const { slowestMs, wrong } = await compileSpoilt(RUNS, 2_026)
    expect(wrong).toEqual([])
    expect(slowestMs).toBeLessThan(5_000)
  })

  it('are compiled leniently too', () => {
    const random = seeded(99)
    for (let run = 0; run < 100; run++) {
      const files = guideFolder.map(file => ({ ...file, text: mutated(file.text, random) }))
      const { knowledge } = compile(files, { lenient: true })
      expect(knowledge).not.toBeNull()
      if (knowledge) coverageOf(knowledge)
    }
  })
})

describe('the line of a problem', () => {
  it('is where the mistake was planted, wherever that is', () => {
    const random = seeded(7)
    const [equipment, tree] = guideFolder
    if (!equipment || !tree) throw new Error('the guide has two files')
    const lines = tree.text.split('\n')
    for (let run = 0; run < 150; run++) {
      // After a blank line, so that it begins a block and does not fall inside a table or a caution.
      const at = Math.floor(random() * lines.length)
      if (lines[at - 1] !== '' || lines[at]?.startsWith('  ')) continue
      const planted = [...lines.slice(0, at), '- Zorble: 7', '', ...lines.slice(at)].join('\n')
      const end = random() < 0.5 ? planted : planted.replaceAll('\n', '\r\n')
      const { problems } = compile([equipment, { ...tree, text: end }])
      const found = problems.filter(problem => problem.quote === '- Zorble: 7')
      expect(found.map(problem => problem.source.line)).toContain(at + 1)
    }
  })
})

describe('hostile folders', () => {
  const nasty: [string, string][] = [
    [
      'names of the language',
      '# __proto__\n\n## constructor\n\n- Observe: x\n\n## toString\n\n- End: healthy\n',
    ],
    [
      'a table of many rows',
      `# A\n\n## B\n\n| Finding | Means | Next |\n| --- | --- | --- |\n${'| a | b | [c](#d) |\n'.repeat(7_000)}`,
    ],
    ['many headings', `# A\n${'## B\n'.repeat(7_000)}`],
    ['many keys', `# A\n\n${'- Zorble: 1\n'.repeat(7_000)}`],
    [
      'many links that lead nowhere',
      `# A\n\n## B\n\n| Finding | Means | Next |\n| --- | --- | --- |\n${Array.from({ length: 7_000 }, (_, i) => `| a | b | [c](#${i}) |\n`).join('')}`,
    ],
    ['a paragraph of one megabyte', `# A\n\n${`${'word '.repeat(30)}\n`.repeat(6_000)}`],
    ['a formula without an end', `# A\n\n## B\n\n- Measure: x\n- Expect: ${'('.repeat(2_000)}\n`],
  ]

  it.each(nasty)('%s take little time', async (_, text) => {
    let compiled = compile([])
    const spent = await processorTime(() => {
      compiled = compile([...guideFolder, { path: 'trees/nasty.md', text }])
    })
    expect(spent).toBeLessThan(3_000)
    const { problems } = compiled
    expect(problems.some(problem => problem.source.path === 'trees/nasty.md')).toBe(true)
  })

  it('of very long chains of checks do not exhaust the stack', () => {
    const [equipment, tree] = manyTrees(1, 380)
    if (!equipment || !tree) throw new Error('nothing made')
    const { knowledge, problems } = compile([equipment, tree])
    expect(problems).toEqual([])
    const [only] = knowledge?.trees.values() ?? []
    if (!knowledge || !only) throw new Error('nothing compiled')
    expect(pathsTo(knowledge, only).size).toBe(380)
    expect(coverageOf(knowledge).trees[0]?.longestPath).toBe(380)
  })
})
