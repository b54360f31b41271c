import { describe, expect, it } from 'vitest'
import { shellEnvironment } from './commands.ts'
import { type Bench, benchesIn, chosen, measure, measureAll, table } from './run.ts'
import { once } from './shared.ts'

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
    ['most', 1.99, true],
    ['most', 2, false],
    ['most', 2.01, false],
    ['least', 2.01, true],
    ['least', 2, false],
    ['least', 1.99, false],
    ['most', Number.NaN, false],
    ['least', Number.NaN, false],
  ] as const)('holds a measured figure to its goal: at %s 2, found %d', async (at, figure, met) => {
    expect(await measure(bench('a', at, figure))).toMatchObject({
      ...{ name: 'a', value: figure, unit: 's', goal: `at ${at} 2`, met },
    })
  })

  it.each([
    ['most', 2, true],
    ['most', 3, false],
    ['least', 2, true],
    ['least', 1, false],
  ] as const)('holds a count to its goal, which it may equal: at %s 2, found %d', async (at, figure, met) => {
    const counted: Bench = { ...bench('a', at, figure), goal: { at, value: 2, counted: true } }
    expect((await measure(counted)).met).toBe(met)
  })

  it.each([
    [0.123456, '0.123'],
    [12345, '12345'],
    [1.9996, '1.9996'],
    [2.0004, '2.0004'],
    [2, '2'],
    [Number.NaN, 'none'],
  ])('shows %d as %s: on its own side of the goal', async (value, shown) => {
    expect((await measure(bench('a', 'most', value))).shown).toBe(shown)
  })

  it('picks several by their names, in their own order, and says which there are', () => {
    const all = ['a', 'b', 'c'].map(name => bench(name, 'most', 1))
    expect(chosen(all, 'c, a').map(({ name }) => name)).toEqual(['a', 'c'])
    expect(chosen(all, undefined)).toEqual(all)
    for (const only of ['a,d', 'd', ''])
      expect(() => chosen(all, only)).toThrow(/^There is no figure “d?”. There are: a, b, c.$/)
  })

  it('measures the others when one fails', async () => {
    const broken: Bench = {
      ...bench('broken', 'most', 1),
      run: () => {
        throw new Error('no disk')
      },
    }
    const complaints: unknown[] = []
    const { error } = console
    console.error = words => complaints.push(words)
    const figures = await measureAll([broken, bench('sound', 'most', 1)]).finally(() => {
      console.error = error
    })
    expect(figures.map(({ name, met, shown }) => [name, met, shown])).toEqual([
      ['broken', false, 'none'],
      ['sound', true, '1'],
    ])
    expect(complaints).toEqual(['broken could not be measured: no disk'])
  })

  it('prints a line a figure, in columns', async () => {
    const figures = [
      await measure(bench('short', 'most', 0.123456)),
      await measure(bench('a longer one', 'most', 12345)),
    ]
    expect(table(figures)).toBe(
      ['short         0.123  s  at most 2  met', 'a longer one  12345  s  at most 2  NOT MET'].join('\n'),
    )
  })
})

describe('what figures share', () => {
  it('is made once, and again only when making it failed', () => {
    let tries = 0
    const value = once(() => {
      tries += 1
      if (tries === 1) throw new Error('not yet')
      return {}
    })
    expect(value).toThrow('not yet')
    expect(value()).toBe(value())
    expect(tries).toBe(2)
  })
})

it('runs commands as from a shell, without what npm adds for a script', () => {
  const env = {
    ...{
      HOME: '/home/a',
      CI: 'true',
      npm_config_json: 'true',
      npm_execpath: 'x',
      INIT_CWD: '/a',
      NODE: '/n',
    },
    PATH: '/a/node_modules/.bin:/node_modules/.bin:/usr/lib/node-gyp-bin:/usr/bin:/bin',
  }
  expect(shellEnvironment(env)).toEqual({ HOME: '/home/a', CI: 'true', PATH: '/usr/bin:/bin' })
})
