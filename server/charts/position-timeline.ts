import { scaleUtc } from 'd3-scale'
import { timeAxis } from './axis.ts'
import { type Caption, type Chart, draw, edges, empty, type Frame, usual } from './chart.ts'
import { dateLabel } from './labels.ts'
import { bar, element, escaped, label, line, point } from './svg.ts'

export interface PositionTimeline extends Caption {
  fromMs: number
  toMs: number
  /** From top to bottom: "Faults", "Units", "Visits", "Work", "Notes". */
  lanes: { name: string; marks: Mark[]; spans: Span[] }[]
}

export interface Mark {
  atMs: number
  words: string
  /** Stands out: a fault, a reading out of range. */
  out: boolean
}

/** Something that lasts, such as a unit's stay; null ends are open. */
export interface Span {
  fromMs: number | null
  toMs: number | null
  /** Written on the bar where it fits. */
  label: string
  words: string
}

const laneHeight = 44

/** Everything that happened at one position, one lane a kind, on one line of time. */
export function positionTimeline(data: PositionTimeline): Chart {
  const frame: Frame = {
    ...usual,
    left: 92,
    top: 14,
    height: 14 + laneHeight * Math.max(1, data.lanes.length) + 52,
  }
  const table = tableOf(data)
  if (table.rows.length === 0) return empty(data, frame, 'Nothing recorded in this time.', table)
  const { x0, x1 } = edges(frame)
  const scale = scaleUtc([data.fromMs, data.toMs], [x0, x1])
  const x = (ms: number) => Math.min(Math.max(scale(ms), x0), x1)
  const lanes = data.lanes.flatMap((lane, i) => {
    const y = frame.top + laneHeight * (i + 0.5)
    return [
      line('chart-grid', x0, y, x1, y),
      label(x0 - 10, y + 4, lane.name, { anchor: 'end' }),
      ...lane.spans
        .filter(s => overlaps(s, data))
        .map((s, j) => span(s, y, x(s.fromMs ?? data.fromMs), x(s.toMs ?? data.toMs), j % 2 === 1)),
      ...lane.marks.filter(m => m.atMs >= data.fromMs && m.atMs <= data.toMs).map(m => mark(m, x(m.atMs), y)),
    ]
  })
  const counts = data.lanes.map(l => `${l.name.toLowerCase()} ${l.marks.length + l.spans.length}`).join(', ')
  const description = `${dateLabel(data.fromMs)} to ${dateLabel(data.toMs)}: ${counts}.`
  return { svg: draw(data, description, frame, [timeAxis(scale, frame, 'Date'), ...lanes]), table }
}

function overlaps(s: Span, data: PositionTimeline): boolean {
  return (s.fromMs ?? data.fromMs) < data.toMs && (s.toMs ?? data.toMs) > data.fromMs
}

/** Neighbouring stays differ in height, so that a change shows without colour. */
function span(s: Span, y: number, from: number, to: number, low: boolean): string {
  const [top, width] = [low ? y - 8 : y - 12, Math.max(2, to - from)]
  const box = bar(from, top, width, 20, s.words)
  const fits = width > 7.5 * s.label.length + 8
  return element(
    'g',
    {},
    box,
    s.fromMs === null ? '' : line('chart-line', from, top, from, top + 20),
    fits ? label(from + 6, top + 14, s.label, { variant: 'on-bar' }) : '',
  )
}

/** What stands out is a diamond, the rest are dots: told apart without colour. */
function mark(m: Mark, x: number, y: number): string {
  const words = `${dateLabel(m.atMs)}: ${m.words}`
  if (!m.out) return point(x, y, words, false, 4.5)
  const title = element('title', {}, escaped(words))
  const r = 7
  const d = `M${x.toFixed(2)} ${y - r}l${r} ${r}l-${r} ${r}l-${r} -${r}z`
  return element('path', { class: 'chart-point chart-point--out', d }, title)
}

function tableOf(data: PositionTimeline): Chart['table'] {
  const rows = data.lanes.flatMap(lane => [
    ...lane.marks.map(m => ({ atMs: m.atMs, row: [dateLabel(m.atMs), '', lane.name, m.words] })),
    ...lane.spans.map(s => ({
      atMs: s.fromMs ?? data.fromMs,
      row: [
        s.fromMs === null ? 'before' : dateLabel(s.fromMs),
        s.toMs === null ? 'still' : dateLabel(s.toMs),
        lane.name,
        s.words,
      ],
    })),
  ])
  return {
    head: ['Date', 'Until', 'Kind', 'What'],
    rows: rows.toSorted((a, b) => a.atMs - b.atMs).map(r => r.row),
  }
}
