import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { calibrationPlot } from '../../server/charts/calibration-plot.ts'
import { countBars } from '../../server/charts/count-bars.ts'
import { cumulativePlot } from '../../server/charts/cumulative-plot.ts'
import { driftChart } from '../../server/charts/drift-chart.ts'
import { funnelPlot } from '../../server/charts/funnel-plot.ts'
import { heatStrip } from '../../server/charts/heat-strip.ts'
import { numberLabel, tickDate } from '../../server/charts/labels.ts'
import { logScatterChart } from '../../server/charts/log-scatter.ts'
import { paretoBars } from '../../server/charts/pareto-bars.ts'
import { positionTimeline } from '../../server/charts/position-timeline.ts'
import { element, escaped, round } from '../../server/charts/svg.ts'

const caption = { id: 'c', title: 'A & B <chart>' }
const day = 86_400_000
const sound = (svg: string) => {
  expect(svg).not.toMatch(/NaN|Infinity|undefined/)
  expect(svg).toContain('A &amp; B &lt;chart&gt;')
}

describe('with nothing to draw', () => {
  it.each([
    [
      'funnel',
      funnelPlot({ ...caption, points: [], limits: [], rate: 0, exposureLabel: 'x', rateLabel: 'y' }),
    ],
    [
      'cumulative',
      cumulativePlot({
        ...caption,
        groups: [{ name: 'a', points: [], end: 9 }],
        atLabel: 'x',
        countLabel: 'y',
      }),
    ],
    ['drift', driftChart({ ...caption, readings: [], breaks: [], fit: null, crossing: null, unit: 'V' })],
    ['pareto', paretoBars({ ...caption, rows: [], amountLabel: 'faults' })],
    ['scatter', logScatterChart({ ...caption, points: [], oftenAbove: 1, longAbove: 1, arrows: [] })],
    ['timeline', positionTimeline({ ...caption, fromMs: 0, toMs: day, lanes: [] })],
    ['counts', countBars({ ...caption, bars: [], barLabel: 'x', countLabel: 'y' })],
    ['calibration', calibrationPlot({ ...caption, bins: [] })],
    ['heat', heatStrip({ ...caption, months: [], countLabel: 'Faults' })],
  ])('the %s says so in its frame', (_, { svg, table }) => {
    sound(svg)
    expect(svg).toMatch(/<text [^>]*>(No|Nothing)[^<]*\.<\/text>/)
    expect(table.rows).toEqual([])
  })
})

describe('with one of everything, or all the same', () => {
  it('draws a lone reading, a lone cause, a lone fault', () => {
    sound(
      driftChart({
        ...caption,
        readings: [{ atMs: 0, value: 5, min: null, max: null }],
        breaks: [],
        fit: null,
        crossing: null,
        unit: 'V',
      }).svg,
    )
    sound(
      paretoBars({ ...caption, rows: [{ name: 'x', amount: 0, running: 0, n: 0 }], amountLabel: 'faults' })
        .svg,
    )
    sound(
      logScatterChart({
        ...caption,
        points: [{ cause: 'x', n: 1, meanMinutes: 1, nature: 'neither' }],
        oftenAbove: 1,
        longAbove: 1,
        arrows: [],
      }).svg,
    )
    sound(
      countBars({
        ...caption,
        bars: [{ label: 'a', count: 0, expected: null }],
        barLabel: 'x',
        countLabel: 'y',
      }).svg,
    )
    const still = { name: 'still', exposure: 1, rate: 0, zone: 'inside' as const }
    sound(
      funnelPlot({ ...caption, points: [still], limits: [], rate: 0, exposureLabel: 'x', rateLabel: 'y' })
        .svg,
    )
    sound(
      heatStrip({ ...caption, months: [{ year: 2025, month: 1, count: null }], countLabel: 'Faults' }).svg,
    )
  })
})

describe('gaps', () => {
  const reading = (i: number, value: number | null) => ({ atMs: i * day, value, min: 0, max: 10 })
  const chart = (values: (number | null)[], breaks: { atMs: number; words: string }[] = []) =>
    driftChart({
      ...caption,
      readings: values.map((v, i) => reading(i, v)),
      breaks,
      fit: null,
      crossing: null,
      unit: 'V',
    }).svg
  const runs = (svg: string) =>
    (svg.match(/<path class="chart-line" d="[^"]*"/g) ?? []).map(d => (d.match(/M/g) ?? []).length)

  it('a missing value breaks the line and never falls to zero', () => {
    expect(runs(chart([5, 6, null, 7, 8]))).toEqual([2])
    expect(runs(chart([5, 6, 7, 8]))).toEqual([1])
  })

  it('a change cuts the line in two', () => {
    expect(runs(chart([5, 6, 7, 8], [{ atMs: 1.5 * day, words: 'module changed' }]))).toEqual([1, 1])
  })

  it('a month out of service is not a month without faults', () => {
    const { svg, table } = heatStrip({
      ...caption,
      months: [
        { year: 2025, month: 1, count: null },
        { year: 2025, month: 2, count: 0 },
      ],
      countLabel: 'Faults',
    })
    expect(table.rows[0]?.slice(0, 3)).toEqual(['2025', '–', '0'])
    expect((svg.match(/chart-band--heat/g) ?? []).length).toBe(1)
  })
})

describe('laws', () => {
  const number = fc.double({ min: -1e6, max: 1e6, noNaN: true })

  it('every mark of a drift chart lies in its frame', () => {
    const values = fc.array(fc.option(number), { minLength: 1, maxLength: 25 })
    fc.assert(
      fc.property(values, fc.option(number), (readings, limit) => {
        const rows = readings.map((value, i) => ({ atMs: i * day, value, min: null, max: limit }))
        const { svg, table } = driftChart({
          ...caption,
          readings: rows,
          breaks: [],
          fit: null,
          crossing: null,
          unit: 'V',
        })
        sound(svg)
        expect(table.rows).toHaveLength(readings.length)
        for (const [, x, y] of svg.matchAll(/cx="([^"]+)" cy="([^"]+)"/g)) {
          expect(Number(x)).toBeGreaterThanOrEqual(0)
          expect(Number(x)).toBeLessThanOrEqual(720)
          expect(Number(y)).toBeGreaterThanOrEqual(28)
          expect(Number(y)).toBeLessThanOrEqual(348)
        }
      }),
      { seed: 4700 },
    )
  })

  it('text is escaped and numbers rounded, never to −0', () => {
    fc.assert(
      fc.property(fc.string(), words => {
        expect(escaped(words)).not.toMatch(/[<>"]/)
      }),
      { seed: 4700 },
    )
    fc.assert(
      fc.property(number, value => {
        expect(Object.is(round(value), -0)).toBe(false)
      }),
      { seed: 4700 },
    )
    expect(element('g', { class: null, x: 1.23456 })).toBe('<g x="1.23"/>')
  })
})

it('ticks and numbers read the same everywhere', () => {
  expect([Date.UTC(2026, 0, 1), Date.UTC(2026, 3, 1), Date.UTC(2026, 3, 14)].map(tickDate)).toEqual([
    '2026',
    'Apr',
    '14 Apr',
  ])
  expect([1234.5, 0.000123, null].map(numberLabel)).toEqual(['1,235', '0.000123', '–'])
})
