import { readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { compile } from '../../server/knowledge/compile.ts'
import { reportProblems } from '../../server/knowledge/report.ts'
import { changed, guide, guideFolder } from './folder.ts'

const casesDir = new URL('./cases/', import.meta.url)
const checksDir = new URL('../../server/knowledge/rules/', import.meta.url)
const cases = readdirSync(casesDir).map(file => file.replace(/\.md$/, ''))

/** Codes as they are written in the checks themselves. */
const codes = new Set(
  readdirSync(checksDir).flatMap(file => {
    const source = readFileSync(new URL(file, checksDir), 'utf8')
    const written = [
      ...source.matchAll(/\bcode: '([a-z0-9-]+)'/g),
      ...source.matchAll(/formulaProblem\('([a-z-]+)'/g),
    ]
    return written.map(match => match[1] ?? '')
  }),
)

describe.each(cases)('the check %s', code => {
  const text = readFileSync(new URL(`${code}.md`, casesDir), 'utf8')
  const [, good = '', bad = '', report = ''] = text.split(/^## (?:Good|Bad|Report)$/m)

  it('leaves the good folder alone', () => {
    const { knowledge, problems } = compile(changed(guideFolder, good))
    expect(reportProblems(problems)).toBe('No problems.')
    expect(knowledge).not.toBeNull()
  })

  it('reports the bad folder just so', () => {
    const { knowledge, problems } = compile(changed(guideFolder, bad))
    const expected = /^```text\n([\s\S]*)\n```$/m.exec(report)?.[1]
    expect(reportProblems(problems)).toBe(expected)
    expect(problems.map(problem => problem.code)).toContain(code)
    expect(knowledge === null).toBe(problems.some(problem => problem.severity === 'error'))
  })
})

describe('every code', () => {
  it('has a case, and every case a code', () => {
    expect([...codes].sort()).toEqual([...cases].sort())
  })

  it('has a check of its own name', () => {
    const files = readdirSync(checksDir).map(file => file.replace(/\.ts$/, ''))
    expect(files).toEqual(expect.arrayContaining([...codes]))
  })

  it('is named in the authors’ guide', () => {
    const named = [...guide.matchAll(/`([a-z0-9-]+)`/g)].map(match => match[1])
    expect(named).toEqual(expect.arrayContaining([...codes]))
  })
})
