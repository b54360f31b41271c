import { extent } from 'd3-array'
import { scaleLog } from 'd3-scale'
import { bottomAxis, leftAxis } from './axis.ts'
import { type Caption, type Chart, draw, edges, empty, type Frame, usual } from './chart.ts'
import { clipped, numberLabel } from './labels.ts'
import { element, label, line, point } from './svg.ts'

interface Place {
  n: number
  meanMinutes: number
}

export interface LogScatterChart extends Caption {
  points: (Place & { cause: string; nature: 'often' | 'long' | 'both' | 'neither' })[]
  oftenAbove: number
  longAbove: number
  arrows: { cause: string; from: Place; to: Place }[]
}

const frame: Frame = { ...usual, height: 440 }

/**
 * How often against how long, both on log scales, with the two limit lines and arrows from the period before.
 */
export function logScatterChart(data: LogScatterChart): Chart {
  const head = ['Cause', 'Faults', 'Mean minutes', 'Nature']
  const rows = data.points.map(p => [p.cause, numberLabel(p.n), numberLabel(p.meanMinutes), p.nature])
  if (rows.length === 0) return empty(data, frame, 'No fault with a known time.', { head, rows })
  const { x0, x1, y0, y1 } = edges(frame)
  const places = [...data.points, ...data.arrows.map(a => a.from)]
  const x = scaleLog(padded([...places.map(p => p.n), data.oftenAbove]), [x0, x1])
  const y = scaleLog(padded([...places.map(p => p.meanMinutes), data.longAbove]), [y0, y1])
  const at = (p: Place) => ({ x: x(p.n), y: y(p.meanMinutes) })
  const parts = [
    leftAxis(y, frame, { label: 'Mean minutes to restore' }),
    bottomAxis(x, frame, { label: 'Faults' }),
    ...limitLines(x(data.oftenAbove), y(data.longAbove)),
    ...data.arrows.map(a => arrow(at(a.from), at(a.to))),
    ...data.points.map(p =>
      point(
        at(p).x,
        at(p).y,
        `${p.cause}: ${p.n} faults, ${numberLabel(p.meanMinutes)} min`,
        p.nature === 'both',
      ),
    ),
    ...names(
      data.points.filter(worthNaming).map(p => ({
        ...at(p),
        words: clipped(p.cause, 28),
        n: p.n,
        left: comesFromRight(data, p),
      })),
      data.points.map(at),
      { left: x0, right: x1 },
    ),
  ]
  const both = data.points.filter(p => p.nature === 'both').map(p => p.cause)
  const description = `${rows.length} causes. Often above ${numberLabel(data.oftenAbove)} faults, long above ${numberLabel(data.longAbove)} minutes. Both: ${both.join(', ') || 'none'}.`
  return { svg: draw(data, description, frame, parts), table: { head, rows } }
}

/** The limit of "often", upright, and that of "long", level, with the names of the corners they make. */
function limitLines(often: number, long: number): string[] {
  const { x0, x1, y0, y1 } = edges(frame)
  return [
    line('chart-limit', often, y0, often, y1, '6 4'),
    line('chart-limit', x0, long, x1, long, '6 4'),
    label(x1 - 4, y0 - 8, 'often', { anchor: 'end', variant: 'name' }),
    label(x0 + 6, y1 + 12, 'long', { variant: 'name' }),
    label(x1 - 4, y1 + 12, 'often and long', { anchor: 'end', variant: 'name' }),
  ]
}

function padded(values: number[]): [number, number] {
  const [low = 1, high = 10] = extent(values.filter(v => v > 0))
  return [low / 1.6, high * 1.6]
}

interface Spot {
  x: number
  y: number
}

/** A line with a head that stops at the rim of the dot. */
function arrow(from: Spot, to: Spot): string {
  const length = Math.hypot(to.x - from.x, to.y - from.y)
  if (length < 14) return ''
  const [ux, uy] = [(to.x - from.x) / length, (to.y - from.y) / length]
  const tip = { x: to.x - 5 * ux, y: to.y - 5 * uy }
  const corner = (side: number) =>
    `${(tip.x - 8 * ux - side * 4 * uy).toFixed(2)},${(tip.y - 8 * uy + side * 4 * ux).toFixed(2)}`
  const head = element('polygon', {
    class: 'chart-point',
    points: `${tip.x.toFixed(2)},${tip.y.toFixed(2)} ${corner(1)} ${corner(-1)}`,
  })
  return element('g', {}, line('chart-line', from.x, from.y, tip.x - 6 * ux, tip.y - 6 * uy), head)
}

/** The many that came once or twice are named by the table. */
function worthNaming({ n, nature }: LogScatterChart['points'][number]): boolean {
  return n >= 3 || nature === 'both'
}

function comesFromRight(data: LogScatterChart, p: Place & { cause: string }): boolean {
  return data.arrows.some(a => a.cause === p.cause && a.from.n > p.n)
}

interface Name extends Spot {
  words: string
  n: number
  /** Written to the left, away from an arrow that comes from the right. */
  left: boolean
}

/** Names where there is room: the commonest first, one that would lie on another is left to the table. */
function names(spots: Name[], dots: Spot[], room: { left: number; right: number }): string[] {
  const taken = dots.map(s => ({ left: s.x - 4, right: s.x + 4, y: s.y }))
  return spots
    .toSorted((a, b) => b.n - a.n)
    .flatMap(spot => {
      const width = 6.6 * spot.words.length
      const boxes = [
        { left: spot.x + 9, right: spot.x + 9 + width, y: spot.y, anchor: 'start' as const },
        { left: spot.x - 9 - width, right: spot.x - 9, y: spot.y, anchor: 'end' as const },
      ]
      const free = (spot.left ? boxes.toReversed() : boxes).find(
        box =>
          box.left >= room.left &&
          box.right <= room.right &&
          !taken.some(t => Math.abs(t.y - box.y) < 12 && t.left < box.right && t.right > box.left),
      )
      if (free === undefined) return []
      taken.push(free)
      return [
        label(free.anchor === 'end' ? free.right : free.left, spot.y + 4, spot.words, {
          anchor: free.anchor,
          variant: 'over',
        }),
      ]
    })
}
