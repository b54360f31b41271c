import { scaleLinear } from 'd3-scale'
import { line as lineShape } from 'd3-shape'
import { type Caption, type Chart, draw, empty, type Frame } from './chart.ts'
import { clipped, numberLabel, percentLabel } from './labels.ts'
import { bar, element, label, line, point, stroke } from './svg.ts'

export interface ParetoBars extends Caption {
  /** Largest first. `running`: share of this and all above, 0 to 1. */
  rows: { name: string; amount: number; running: number; n: number }[]
  /** "faults", "minutes" */
  amountLabel: string
}

const most = 15
const rowHeight = 26
const [left, right, top] = [190, 650, 44]

/** Bars from the largest down, with the running share of the whole as a line. The table holds every row. */
export function paretoBars(data: ParetoBars): Chart {
  const head = ['Cause', data.amountLabel, 'Running share', 'n']
  const table = {
    head,
    rows: data.rows.map(r => [r.name, numberLabel(r.amount), percentLabel(r.running), numberLabel(r.n)]),
  }
  const shown = data.rows.slice(0, most)
  const frame: Frame = {
    width: 720,
    height: top + rowHeight * Math.max(shown.length, 3) + 12,
    top,
    right: 70,
    bottom: 12,
    left,
  }
  if (shown.length === 0) return empty(data, frame, 'No faults to count.', table)
  // Bars and line stand on one scale, the share of the whole.
  const whole = data.rows.reduce((sum, row) => sum + row.amount, 0) || 1
  const share = scaleLinear([0, 1], [left, right])
  const x = (amount: number) => share(amount / whole)
  const middle = (i: number) => top + rowHeight * (i + 0.5)
  const curve = lineShape<(typeof shown)[number]>()
    .x(r => share(r.running))
    .y((_, i) => middle(i))
    .digits(2)(shown)
  const parts = [
    ...[0, 0.25, 0.5, 0.75, 1].map(s => shareMark(s, share(s), frame.height - 12)),
    label(left, 16, `Bars: share of all ${data.amountLabel}, with their number. Line: running share.`, {
      variant: 'name',
    }),
    ...shown.map((r, i) => rowBar(r, middle(i), x(r.amount))),
    line('chart-axis', left, top, left, frame.height - 12),
    stroke('chart-line', curve),
    ...shown.map((r, i) =>
      point(share(r.running), middle(i), `${r.name} and above: ${percentLabel(r.running)}`),
    ),
    ...shown.map((r, i) => amountOf(r, middle(i), x(r.amount), share(r.running))),
  ]
  return { svg: draw(data, descriptionOf(data), frame, parts), table }
}

type Row = ParetoBars['rows'][number]

function descriptionOf({ rows, amountLabel }: ParetoBars): string {
  const first = rows[0]
  const largest = `${first?.name}, ${numberLabel(first?.amount ?? 0)} ${amountLabel}, ${percentLabel(first?.running ?? 0)} of all`
  return `${rows.length} causes; the largest is ${largest}.`
}

function shareMark(share: number, x: number, bottom: number): string {
  const words = label(x, top - 8, percentLabel(share), { anchor: 'middle' })
  return element('g', {}, line('chart-grid', x, top, x, bottom), words)
}

function rowBar(r: Row, y: number, end: number): string {
  const box = bar(left, y - 9, Math.max(1, end - left), 18, `${r.name}: ${numberLabel(r.amount)}, n = ${r.n}`)
  return element('g', {}, box, label(left - 8, y + 4, clipped(r.name, 28), { anchor: 'end' }))
}

/** The figure stands after its bar, inside it where the line would run through it. */
function amountOf(r: Row, y: number, end: number, onLine: number): string {
  const words = numberLabel(r.amount)
  const room = 7 * words.length + 14
  const clash = onLine > end - 2 && onLine < end + room
  return clash && end - left > room
    ? label(end - 6, y + 4, words, { anchor: 'end', variant: 'on-bar' })
    : label(clash ? onLine + 8 : end + 6, y + 4, words)
}
