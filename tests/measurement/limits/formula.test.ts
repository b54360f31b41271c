import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { evaluate } from '../../../server/measurement/limits/evaluate.ts'
import { type Expression, namesIn, parseFormula } from '../../../server/measurement/limits/formula.ts'
import { FUNCTIONS } from '../../../server/measurement/limits/functions.ts'

describe('a formula', () => {
  it.each([
    ['1 + 2 × 3', 7],
    ['(1 + 2) * 3', 9],
    ['8 ÷ 4 ÷ 2', 1],
    ['8 - 4 - 2', 2],
    ['-2 + 5', 3],
    ['2 x 3', 6],
    ['2 × -3', -6],
    ['-(1 + 2)', -3],
    ['10 / (2 + 3)', 2],
    ['0.1 + 0.2', 0.3],
    ['1e3 × 2', 2000],
    ['2 km + 500 m', 2500],
    ['15 % × 200 ohm', 30],
  ])('"%s" comes to %s', (text, result) => {
    expect(worked(text)).toBe(result)
  })

  it('names facts and findings in plain words', () => {
    const parsed = parseFormula('2 × cable length × resistance per length(conductor, temperature)')
    expect(parsed.ok && namesIn(parsed.expression)).toEqual(['cable length', 'conductor', 'temperature'])
    const finding = parseFormula('reading of Half-split, at the joint') // a comma ends a name
    expect(finding.ok).toBe(false)
    const dashed = parseFormula('reading of half-split joint − 0.2 ohm')
    expect(dashed.ok && namesIn(dashed.expression)).toEqual(['reading of half-split joint'])
  })

  it.each([
    ['', 'stops too soon'],
    ['2 ×', 'stops too soon'],
    ['(2 + 3', 'opening parenthesis'],
    ['2 + 3)', '")"'],
    ['2 cable length', '"cable" after a number'],
    ['2 3', '"3" after a number'],
    ['cable length # 2', '"#"'],
    ['2 ohmm', '"ohmm" after a number'],
    ['× 2', '"×"'],
    ['f(1,)', '")"'],
    ['1e999 m', 'the number 1e999'],
    ['('.repeat(60), 'too many parentheses'],
    ['1+'.repeat(300), 'characters'],
  ])('"%s" is told what is wrong with it', (text, found) => {
    const parsed = parseFormula(text)
    if (parsed.ok) throw new Error('it was taken')
    expect(parsed.problem.found).toContain(found)
    expect(parsed.problem.mend).not.toBe('')
  })

  it('hints at the unit that was meant', () => {
    const parsed = parseFormula('2 ohmm')
    expect(!parsed.ok && parsed.problem.hint).toBe('ohm')
  })

  it('comes to the same as the machine’s own arithmetic', () => {
    fc.assert(
      fc.property(tree(), ({ text, value }) => {
        if (!Number.isFinite(value) || Math.abs(value) > 1e12) return
        expect(Math.abs(worked(text) - value)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(value)))
      }),
      { seed: 7, numRuns: 500 },
    )
  })

  it('never throws, whatever an author writes', () => {
    const unit = fc.constantFrom(...'0123456789.()+-×÷/ ,%±', ' ohm', 'V AC', ' to ', 'cable length', 'f(')
    fc.assert(
      fc.property(fc.oneof(fc.string(), fc.string({ unit, maxLength: 30 })), text => {
        const parsed = parseFormula(text)
        if (!parsed.ok) expect(parsed.problem.found).not.toBe('')
      }),
      { seed: 8, numRuns: 3000 },
    )
  })

  it('knows each function by its name, with a source', () => {
    for (const [name, entry] of FUNCTIONS) {
      expect(entry.source.length).toBeGreaterThan(10)
      const parsed = parseFormula(`${name}(${entry.takes.map(() => '1').join(', ')})`)
      expect(parsed).toMatchObject({ ok: true, expression: { kind: 'call', name } })
    }
  })
})

function worked(text: string): number {
  const parsed = parseFormula(text)
  if (!parsed.ok) throw new Error(`${text}: ${parsed.problem.found}`)
  return evaluate(parsed.expression as Expression, { values: new Map() }, []).value
}

/** Random sums as text, with the value the machine gives them. */
function tree(): fc.Arbitrary<{ text: string; value: number }> {
  const leaf = fc.integer({ min: 1, max: 99 }).map(value => ({ text: String(value), value }))
  return fc.letrec<{ node: { text: string; value: number } }>(tie => ({
    node: fc.oneof(
      { depthSize: 'small', withCrossShrink: true },
      leaf,
      fc.tuple(tie('node'), fc.constantFrom('+', '−', '×'), tie('node')).map(([left, op, right]) => ({
        text: `(${left.text} ${op} ${right.text})`,
        value:
          op === '+'
            ? left.value + right.value
            : op === '−'
              ? left.value - right.value
              : left.value * right.value,
      })),
      fc.tuple(tie('node'), leaf).map(([left, right]) => ({
        text: `((${left.text}) ÷ ${right.text})`,
        value: left.value / right.value,
      })),
    ),
  })).node
}
