import { max } from 'd3-array'
import { scaleLinear } from 'd3-scale'
import { area, line as lineShape } from 'd3-shape'
import { bottomAxis, leftAxis } from './axis.ts'
import { type Caption, type Chart, draw, edges, empty, type Table, usual } from './chart.ts'
import { numberLabel } from './labels.ts'
import { element, label, line, point, stroke } from './svg.ts'

export interface FunnelPlot extends Caption {
  /** One dot each: exposure and rate in the units of the two labels. */
  points: {
    name: string
    exposure: number
    rate: number
    zone: 'inside' | 'outside 95 %' | 'outside 99.8 %'
    /** How many lie there; one where left out. */
    n?: number
  }[]
  limits: { exposure: number; low95: number; high95: number; low998: number; high998: number }[]
  /** The rate of all together. */
  rate: number
  exposureLabel: string
  rateLabel: string
}

/** Each one's rate against its exposure, with the limits luck keeps to: 95 % shaded, 99.8 % dashed. */
export function funnelPlot(data: FunnelPlot): Chart {
  const table = tableOf(data)
  if (data.points.length === 0) return empty(data, usual, 'No positions in service.', table)
  const { x0, x1, y0, y1 } = edges(usual)
  const highest = Math.max(max(data.points, p => p.rate) ?? 0, 4 * data.rate)
  const x = scaleLinear([0, (max(data.points, p => p.exposure) ?? 1) * 1.05], [x0, x1])
  const y = scaleLinear([0, highest * 1.1], [y0, y1])
  const top = y.domain()[1] ?? 1
  const band = area<FunnelPlot['limits'][number]>()
    .x(d => x(d.exposure))
    .y0(d => y(d.low95))
    .y1(d => y(Math.min(d.high95, top)))
  const edge = (of: (d: FunnelPlot['limits'][number]) => number) =>
    lineShape<FunnelPlot['limits'][number]>()
      .defined(d => of(d) <= top)
      .x(d => x(d.exposure))
      .y(d => y(of(d)))
      .digits(2)(data.limits)
  const outside = data.points.filter(p => p.zone !== 'inside').length
  const description = `${data.points.length} positions; ${outside} outside the 95 % limits.`
  const parts = [
    element('path', { class: 'chart-band', d: band.digits(2)(data.limits) ?? '' }),
    leftAxis(y, usual, { label: data.rateLabel }),
    bottomAxis(x, usual, { label: data.exposureLabel }),
    stroke(
      'chart-limit',
      edge(d => d.high998),
      '6 4',
    ),
    stroke(
      'chart-limit',
      edge(d => d.low998),
      '6 4',
    ),
    line('chart-line', x0, y(data.rate), x1, y(data.rate)),
    ...data.points.flatMap(p => dots(p, { x: x(p.exposure), y: y(p.rate) }, [x0, x1])),
    ...namesOf(named(data), p => ({ x: x(p.exposure), y: y(p.rate) }), x1),
  ]
  return { svg: draw(data, description, usual, parts), table }
}

const dotStep = 8
const mostDots = 30

/** Those at one place lie side by side, with their number where there are many. */
function dots(
  p: FunnelPlot['points'][number],
  at: { x: number; y: number },
  [x0, x1]: [number, number],
): string[] {
  const all = p.n ?? 1
  const shown = Math.min(all, mostDots)
  const width = (shown - 1) * dotStep
  const from = Math.max(x0 + dotStep, Math.min(at.x - width / 2, x1 - width))
  const row = Array.from({ length: shown }, (_, i) =>
    point(from + i * dotStep, at.y, pointWords(p), p.zone !== 'inside'),
  )
  return all < 3
    ? row
    : [...row, label(from - dotStep, at.y + 4, String(all), { anchor: 'end', variant: 'over' })]
}

/** The worst few are named in the picture; all are in the table. */
function named(data: FunnelPlot): FunnelPlot['points'] {
  return data.points
    .filter(p => p.zone === 'outside 99.8 %')
    .toSorted((a, b) => b.rate - a.rate)
    .slice(0, 6)
}

/** A name that would lie on one before it is left to the table. */
function namesOf(
  points: FunnelPlot['points'],
  placeOf: (p: FunnelPlot['points'][number]) => { x: number; y: number },
  right: number,
): string[] {
  const taken: { from: number; to: number; y: number }[] = []
  return points.flatMap(p => {
    const { x, y } = placeOf(p)
    const width = 6.5 * p.name.length
    const flip = x + 8 + width > right
    const from = flip ? x - 8 - width : x + 8
    if (taken.some(t => Math.abs(t.y - y) < 14 && t.from < from + width && t.to > from)) return []
    taken.push({ from, to: from + width, y })
    return [label(flip ? x - 8 : x + 8, y + 4, p.name, { anchor: flip ? 'end' : 'start', variant: 'over' })]
  })
}

function pointWords(p: FunnelPlot['points'][number]): string {
  return `${p.name}: ${numberLabel(p.rate)} at ${numberLabel(p.exposure)}, ${p.zone}`
}

function tableOf(data: FunnelPlot): Table {
  return {
    head: ['Name', data.exposureLabel, data.rateLabel, 'Against the limits'],
    rows: data.points.map(p => [p.name, numberLabel(p.exposure), numberLabel(p.rate), p.zone]),
  }
}
