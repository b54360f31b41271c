import { describe, expect, it } from 'vitest'
import { type Bench, benchesIn, measure, table } from './run.ts'

const bench = (name: string, at: 'least' | 'most', figure: number): Bench => ({
  ...{ name, unit: 's', goal: { at, value: 2 }, run: async () => figure },
})

describe('the runner', () => {
  it('finds benches in a list and one by one, each once, and nothing else', () => {
    const [a, b, c] = [bench('a', 'most', 1), bench('b', 'most', 1), bench('c', 'least', 1)]
    const exported = {
      benches: [a, b],
      c,
      again: a,
      large: () => 1,
      size: 3,
      words: 'x',
      nothing: null,
      other: { name: 'x' },
    }
    expect(benchesIn(exported).map(({ name }) => name)).toEqual(['a', 'b', 'c'])
  })

  it.each([
    ['most', 2, true],
    ['most', 2.01, false],
    ['least', 2, true],
    ['least', 1.99, false],
    ['most', Number.NaN, false],
    ['least', Number.NaN, false],
  ] as const)('holds a figure to its goal: at %s 2, found %d', async (at, figure, ok) => {
    expect(await measure(bench('a', at, figure))).toEqual({
      name: 'a',
      value: figure,
      unit: 's',
      goal: `at ${at} 2`,
      ok,
    })
  })

  it('prints a line a figure, in columns', async () => {
    const figures = [
      await measure(bench('short', 'most', 0.123456)),
      await measure(bench('a longer one', 'most', 12345)),
    ]
    expect(table(figures)).toBe(
      ['short         0.123  s  at most 2  ok', 'a longer one  12345  s  at most 2  MISSED'].join('\n'),
    )
  })
})
