import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { causeText, checkNamed, comesTo, treeNamed } from './on-site.ts'
import { REPORTS, type Report } from './reports.ts'

/** What the pack says at a cause, a check or in the head of a tree. */
function wordsOf(where: string): string {
  if (where.includes('/')) return causeText(where)
  if (!where.includes('#')) return [treeNamed(where).about, ...treeNamed(where).cautions].join(' ')
  const check = checkNamed('', where)
  return [check.instruction, ...check.cautions].join(' ')
}

/** The line of the table for a report. */
function lineOf({ report, kind, symptom, cause, lesson, tree, ends }: Report): string {
  return `| ${[report, kind, symptom, cause, lesson, tree, ends].join(' | ')} |`
}

describe('failures from public reports', () => {
  it.each(REPORTS.map(report => [report.report, report] as const))('%s', (_, report) => {
    const { tree, seen, facts, ends, says } = report
    expect(comesTo(tree, seen, facts)).toBe(ends)
    const [where, words] = says
    expect(wordsOf(where)).toMatch(words)
  })

  it('are fifteen and more, no two of one walk', () => {
    expect(REPORTS.length).toBeGreaterThanOrEqual(15)
    const walks = REPORTS.map(({ tree, seen }) => JSON.stringify([tree, seen]))
    expect(new Set(walks).size).toBe(REPORTS.length)
  })

  it('stand in the table, each with the tree that met it', () => {
    const table = readFileSync('tests/published/cases/reports.md', 'utf8')
    const lines = table.split('\n').filter(line => /^\| (?!Report|---)/.test(line))
    expect(lines).toEqual(REPORTS.map(lineOf))
  })
})
