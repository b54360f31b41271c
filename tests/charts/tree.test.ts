import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { drawTree } from '../../server/charts/tree-drawing.ts'
import { drawHere } from '../../server/charts/tree-here.ts'
import { layoutTree } from '../../server/charts/tree-layout.ts'
import { boxWidth, type DrawnCheck, type DrawnRow, wrapped } from '../../server/charts/tree-shape.ts'

const row = (label: string, kind: DrawnRow['target']['kind'], id: string, taken = false): DrawnRow => ({
  label,
  target: { kind, id, words: `words of ${id}`, href: null },
  taken,
})

const check = (id: string, rows: DrawnRow[], more: Partial<DrawnCheck> = {}): DrawnCheck => ({
  id,
  number: 1,
  title: `Check ${id}`,
  does: 'measures supply voltage',
  minutes: 3,
  disturbs: false,
  href: `#${id}`,
  line: 4,
  state: 'open',
  rows,
  ...more,
})

const small = [
  check(
    'supply',
    [
      row('in range', 'check', 'loop', true),
      row('none', 'cause', 'k/fuse'),
      row('otherwise', 'end', 't#end'),
    ],
    {
      state: 'done',
    },
  ),
  check('loop', [row('in range', 'other tree', 'u#x'), row('otherwise', 'cause', 'k/loop')], {
    number: 2,
    state: 'here',
    disturbs: true,
  }),
]

/** Any checks whose rows lead anywhere, to one another and in circles. */
const anyChecks = fc.integer({ min: 1, max: 24 }).chain(count =>
  fc.array(fc.array(fc.integer({ min: -1, max: count - 1 }), { maxLength: 4 }), {
    minLength: count,
    maxLength: count,
  }),
)
const drawn = (targets: number[][]) =>
  targets.map((nexts, n) =>
    check(
      String(n),
      nexts.map((next, at) =>
        next < 0 ? row(`r${at}`, 'cause', 'k/c') : row(`r${at}`, 'check', String(next)),
      ),
    ),
  )

describe('a tree drawn', () => {
  const { svg } = drawTree(small, { id: 'tree', title: 'Output dead, drawn' })

  it('is drawn as it was when last looked at', () => expect(svg).toMatchFileSnapshot('./output/tree.svg'))

  it('says in words what it shows, and marks the place by a shape', () => {
    expect(svg).toContain('<title id="tree-title">Output dead, drawn</title>')
    expect(svg).toContain('2 checks, 6 minutes if all were done. You are at Check loop.')
    expect(svg).toContain('class="tree-here"')
  })

  it('holds nothing a strict page would refuse, whatever the words', () => {
    const nasty = '"><script>harm()</script><a href="javascript:x">&'
    const { svg: odd } = drawTree([check('a', [row(nasty, 'cause', nasty)], { title: nasty, does: nasty })], {
      id: 'odd',
      title: nasty,
    })
    expect(odd).not.toMatch(/<script|style=|on\w+="/)
    expect(odd.replaceAll(/<[^>]*>/g, '')).not.toMatch(/[<>]/)
  })

  it('zooms by its size alone', () => {
    const of = (zoom: number | null) => drawTree(small, { id: 'z', title: 'Z', zoom }).svg
    expect(of(null)).toMatch(/^<svg [^>]*viewBox="0 0 \d+ \d+" role/)
    const width = (text: string) => Number(/ width="([\d.]+)"/.exec(text)?.[1])
    expect(width(of(0.5))).toBeCloseTo(width(of(1)) / 2)
  })

  it('puts every check somewhere in the picture, and none over another, circles or not', () => {
    fc.assert(
      fc.property(anyChecks, targets => {
        const { checks, width, height, lines } = layoutTree(drawn(targets))
        expect(checks).toHaveLength(targets.length)
        for (const [at, one] of checks.entries()) {
          expect([one.x, one.y, one.height].every(Number.isFinite)).toBe(true)
          expect(
            one.x >= 0 && one.y >= 0 && one.x + boxWidth <= width && one.y + one.height <= height + 1,
          ).toBe(true)
          for (const other of checks.slice(at + 1)) {
            const apartX = Math.abs(one.x - other.x) >= boxWidth
            const apartY = one.y + one.height <= other.y || other.y + other.height <= one.y
            expect(apartX || apartY).toBe(true)
          }
        }
        for (const line of lines) expect(line.points.every(({ x, y }) => Number.isFinite(x + y))).toBe(true)
      }),
      { seed: 20_261_125, numRuns: 150 },
    )
  })

  it('leads every line downwards, and tells each row that has no line beside it', () => {
    fc.assert(
      fc.property(anyChecks, targets => {
        const { checks, lines } = layoutTree(drawn(targets))
        const top = new Map(checks.map(one => [one.id, one.y]))
        for (const { from, to } of lines) expect(top.get(from) ?? 0).toBeLessThan(top.get(to) ?? 0)
        const rows = checks.flatMap(one => one.rows)
        expect(rows.filter(one => one.besideLines.length === 0)).toHaveLength(lines.length)
      }),
      { seed: 20_261_126, numRuns: 150 },
    )
  })

  it('draws checks by any name', () => {
    const names = ['__proto__', 'constructor', 'toString', '\u0000', '']
    const odd = names.map((name, n) => check(name, [row('on', 'check', names[n + 1] ?? 'x')]))
    expect(layoutTree(odd).lines).toHaveLength(4)
  })

  it('draws few lines where every row leads everywhere', () => {
    const all = Array.from({ length: 60 }, (_, n) => String(n))
    const dense = all.map((id, n) =>
      check(
        id,
        all.slice(n + 1, n + 5).map(to => row(to, 'check', to)),
      ),
    )
    expect(layoutTree(dense).lines.length).toBeLessThanOrEqual(59 + 60)
  })

  it('draws a tree of one check, and of none', () => {
    expect(drawTree([check('a', [])], { id: 'one', title: 'One' }).svg).toContain('Check a')
    expect(drawTree([], { id: 'none', title: 'None' }).svg).toContain('0 checks')
  })
})

describe('“you are here”', () => {
  const before = ['Supply', 'Drive', 'Latch', 'Link'].map(title => ({ title, found: 'in range' }))
  const svg = drawHere('here', before, 'Loop resistance', [{ label: 'in range', words: 'Telltale' }])

  it('is drawn as it was when last looked at', () =>
    expect(svg).toMatchFileSnapshot('./output/tree-here.svg'))

  it('shows the last three checks and counts those before', () => {
    expect(svg).toContain('1 check before')
    expect(svg.match(/class="tree-done"/g)).toHaveLength(3)
  })

  it('says the whole way to a reader who sees no picture', () => {
    expect(svg).toContain('Supply: in range; Drive: in range')
    expect(svg).toContain('You are at Loop resistance. in range: Telltale.')
  })
})

describe('words in lines', () => {
  it('are never longer than asked for, but for a word that is', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 300 }), fc.integer({ min: 5, max: 40 }), (words, letters) => {
        const lines = wrapped(words, letters, 3)
        expect(lines.length).toBeLessThanOrEqual(3)
        for (const line of lines) expect(line.length).toBeLessThanOrEqual(letters + 2)
      }),
      { seed: 20_261_127 },
    )
  })

  it('end with an ellipsis when some are left out', () => {
    expect(wrapped('one two three four', 8, 2)).toEqual(['one two', 'three…'])
  })
})
