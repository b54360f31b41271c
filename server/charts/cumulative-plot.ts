import { max } from 'd3-array'
import { scaleLinear } from 'd3-scale'
import { area, curveStepAfter, line as lineShape } from 'd3-shape'
import { bottomAxis, leftAxis } from './axis.ts'
import { type Caption, type Chart, draw, edges, empty, type Frame, usual } from './chart.ts'
import { numberLabel } from './labels.ts'
import { element, label, line, stroke } from './svg.ts'

export interface CumulativePlot extends Caption {
  groups: { name: string; points: { at: number; mean: number; low: number; high: number }[]; end: number }[]
  atLabel: string
  countLabel: string
}

const frame: Frame = { ...usual, right: 150 }
const dashes = [null, '8 4', '2 3', '10 3 2 3']

/**
 * How many faults by each age, on average: straight is steady, bending up is worsening. Bands are the limits.
 */
export function cumulativePlot(data: CumulativePlot): Chart {
  const head = ['Group', data.atLabel, data.countLabel, 'Low', 'High']
  const rows = data.groups.flatMap(g =>
    g.points.map(p => [g.name, ...[p.at, p.mean, p.low, p.high].map(numberLabel)]),
  )
  if (rows.length === 0) return empty(data, frame, 'No faults to count.', { head, rows })
  const { x0, x1, y0, y1 } = edges(frame)
  const points = data.groups.flatMap(g => g.points)
  const x = scaleLinear([0, max(data.groups, g => g.end) ?? 1], [x0, x1])
  const y = scaleLinear(
    [0, Math.min(max(points, p => p.high) ?? 1, 2.5 * (max(points, p => p.mean) ?? 1))],
    [y0, y1],
  ).nice()
  const paths = data.groups.filter(g => g.points.length > 0).map(pathOf)
  const top = y.domain()[1] ?? 1
  const parts = [
    ...paths.map(path => bandOf(path, x, value => y(Math.min(value, top)))),
    ...paths.map((path, i) => lineOf(path, x, y, dashes[i % dashes.length] ?? null)),
    ...namesOf(paths, y, x1),
  ]
  const description = data.groups
    .map(g => `${g.name}: ${numberLabel(g.points.at(-1)?.mean ?? 0)} by ${numberLabel(g.end)}`)
    .join('; ')
  const axes = [leftAxis(y, frame, { label: data.countLabel }), bottomAxis(x, frame, { label: data.atLabel })]
  return { svg: draw(data, `${description}.`, frame, [...axes, ...parts]), table: { head, rows } }
}

type Scale = (value: number) => number

interface Path {
  name: string
  points: { at: number; mean: number; low: number; high: number }[]
}

/** From nothing at age zero, level to the end of the watching. */
function pathOf({ name, points, end }: CumulativePlot['groups'][number]): Path {
  const last = points.at(-1) ?? { at: 0, mean: 0, low: 0, high: 0 }
  return {
    name,
    points: [{ at: 0, mean: 0, low: 0, high: 0 }, ...points, { ...last, at: Math.max(end, last.at) }],
  }
}

function bandOf({ points }: Path, x: Scale, y: Scale): string {
  const band = area<Path['points'][number]>()
    .curve(curveStepAfter)
    .x(d => x(d.at))
    .y0(d => y(d.low))
    .y1(d => y(d.high))
  return element('path', { class: 'chart-band', d: band.digits(2)(points) ?? '', 'fill-opacity': 0.5 })
}

function lineOf({ points }: Path, x: Scale, y: Scale, dash: string | null): string {
  const mean = lineShape<Path['points'][number]>()
    .curve(curveStepAfter)
    .x(d => x(d.at))
    .y(d => y(d.mean))
  return stroke('chart-line', mean.digits(2)(points), dash)
}

/** Beside the plot, from the top down, each at its line's height or just below the name above it. */
function namesOf(paths: Path[], y: Scale, right: number): string[] {
  const wanted = paths
    .map((path, i) => ({ path, i, at: y(path.points.at(-1)?.mean ?? 0) + 4 }))
    .sort((a, b) => a.at - b.at)
  let last = -Infinity
  return wanted.flatMap(({ path, i, at }) => {
    last = Math.max(at, last + 17)
    return [
      line('chart-line', right + 8, last - 4, right + 30, last - 4, dashes[i % dashes.length] ?? null),
      label(right + 35, last, path.name),
    ]
  })
}
