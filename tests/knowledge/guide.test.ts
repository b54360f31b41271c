import { describe, expect, it } from 'vitest'
import { compile } from '../../server/knowledge/compile.ts'
import { coverageOf } from '../../server/knowledge/coverage.ts'
import { reportCoverage, reportProblems } from '../../server/knowledge/report.ts'
import { findUnit, unitBases } from '../../server/measurement/readings/units.ts'
import { changed, guide, guideFolder } from './folder.ts'

describe('the authors’ guide', () => {
  it('shows two files that are right as they stand', () => {
    expect(guideFolder.map(file => file.path)).toEqual([
      'equipment/small-transmitter.md',
      'trees/small-output-dead.md',
    ])
    expect(reportProblems(compile(guideFolder).problems)).toBe('No problems.')
  })

  it('shows changes that keep them right, one at a time', () => {
    const changes = [...guide.matchAll(/^```diff[\s\S]*?^```$/gm)].map(match => match[0])
    expect(changes.length).toBeGreaterThan(0)
    for (const change of changes) {
      expect(reportProblems(compile(changed(guideFolder, change)).problems)).toBe('No problems.')
    }
  })

  it('lists every unit that is read, and no other', () => {
    const line = guide.split('\n').find(text => text.startsWith('- **Units that are read**')) ?? ''
    const listed = [...line.matchAll(/`([^`]+)`/g)].map(([, unit = '']) => unit)
    expect(listed.filter(unit => findUnit(unit) === null)).toEqual([])
    const bases = new Set(listed.map(unit => findUnit(unit)?.base))
    expect(unitBases().filter(base => base !== 'ratio' && !bases.has(base))).toEqual([])
  })

  it('has no fence that is not run', () => {
    const fences = [...guide.matchAll(/^```(.+)$/gm)].map(match => match[1])
    for (const fence of fences) expect(fence).toMatch(/^(md|diff) (trees|equipment)\/[a-z-]+\.md$/)
  })

  it.each([
    ['- Expect: supply voltage', '- Expect: 110 V AC ± 10 %\n- Source: Demo value'],
    ['- Expect: loop resistance', '- Expect: 99 to 121 ohm\n- Source: Demo value'],
    ['- Expect: loop resistance', '- Expect: at most reading of supply ÷ 1 A\n- Source: Demo value'],
    ['- Takes: 2 min', '- Takes: 2 min\n- Needs: a second person\n- Blind: yes\n- Slip: 5 %'],
    [
      '- Expect: loop resistance',
      '- Expect: loop resistance\n- Method: four-wire\n- Test voltage: at most 20 mV',
    ],
    [
      '- Expect: loop resistance',
      '- Expect: loop resistance\n- Method: volt drop\n- Electronics connected: yes',
    ],
    [
      '- Expect: loop resistance',
      '- Expect: loop resistance\n- Method: insulation test\n- Test voltage: 500 V',
    ],
    ['- Symptom: telltale dark', '- Symptom: telltale dark\n- Kind: round\n- Review by: 2027-11-01'],
  ])('names forms that are read: %s', (before, after) => {
    const files = guideFolder.map(file => ({ ...file, text: file.text.replace(before, after) }))
    const codes = compile(files).problems.map(problem => problem.code)
    expect(codes).toEqual([])
  })
})

describe('coverage', () => {
  const { knowledge } = compile(guideFolder)
  if (!knowledge) throw new Error('the guide does not compile')

  it('counts checks, causes and the longest path, and weighs minutes by share', () => {
    // Fuse 3: 3 + 2 + 3; feeder 1: 3 + 2; module 4 and loop 2: 3 + 2 + 5. Opening the case counts once a path.
    const expected = (3 * 8 + 1 * 5 + 6 * 10) / 10
    expect(coverageOf(knowledge).trees[0]).toMatchObject({
      checks: 3,
      causes: 4,
      longestPath: 2,
      expectedMinutes: expected,
      separatesNothing: [],
    })
  })

  it('lists the branches no example takes and the limits blank or made up', () => {
    const coverage = coverageOf(knowledge)
    const untried = coverage.trees[0]?.untried.map(({ check, row }) => `${check}: ${row}`)
    expect(untried).toEqual([
      'Supply: in range',
      'Fuse: whole',
      'Fuse: cannot tell',
      'Loop: in range',
      'Loop: otherwise',
    ])
    expect(coverage.limits.map(({ limit, state }) => [limit, state])).toEqual([
      ['supply voltage', 'demo'],
      ['loop resistance', 'demo'],
      ['output current', 'blank'],
    ])
    expect(reportCoverage(coverage)).toContain('expected time 8.9 min')
  })
})
