import { extent } from 'd3-array'
import { scaleLinear, scaleUtc } from 'd3-scale'
import { area, curveStepAfter, line as lineShape } from 'd3-shape'
import { leftAxis, timeAxis } from './axis.ts'
import { type Caption, type Chart, draw, edges, empty, type Table, usual } from './chart.ts'
import { dateLabel, numberLabel } from './labels.ts'
import { element, label, line, point, stroke } from './svg.ts'

export interface DriftReading {
  atMs: number
  /** null leaves a gap; `words` says why ("open"). */
  value: number | null
  min: number | null
  max: number | null
  words?: string
}

export interface DriftChart extends Caption {
  readings: DriftReading[]
  breaks: { atMs: number; words: string }[]
  /** The fitted line: two ends. */
  fit: { fromMs: number; from: number; toMs: number; to: number } | null
  crossing: { atMs: number; earliestMs: number; latestMs: number; limit: number } | null
  /** "V AC" */
  unit: string
}

type Scales = { x: (ms: number) => number; y: (value: number) => number; low: number; high: number }

/** One check's readings over time in the band of its limits as they were, cut where something was changed. */
export function driftChart(data: DriftChart): Chart {
  const table = tableOf(data)
  const values = data.readings.flatMap(r => [r.value, r.min, r.max]).filter(v => v !== null)
  if (values.length === 0) return empty(data, usual, 'No readings yet.', table)
  const { x0, x1, y0, y1 } = edges(usual)
  const [low = 0, high = 1] = extent([...values, data.crossing?.limit ?? values[0] ?? 0])
  const pad = 0.12 * spreadOf(low, high)
  const latest = Math.max(
    ...data.readings.map(r => r.atMs),
    data.crossing?.latestMs ?? 0,
    data.fit?.toMs ?? 0,
  )
  const x = scaleUtc([Math.min(...data.readings.map(r => r.atMs)), latest], [x0 + 8, x1 - 8])
  const y = scaleLinear([low - pad, high + pad], [y0, y1])
  const scales = { x: (ms: number) => x(ms), y, low: low - pad, high: high + pad }
  const parts = [
    ...bandParts(data, scales),
    leftAxis(y, usual, { label: data.unit }),
    timeAxis(x, usual, 'Date'),
    ...data.breaks.map((b, i) => breakParts(i, x(b.atMs))),
    ...runs(data).map(run => stroke('chart-line', runPath(run, scales))),
    ...fitParts(data, scales),
    ...data.readings.map(r => readingMark(r, scales, y0)),
  ]
  return { svg: draw(data, describe(data), usual, parts), table }
}

/** Room to draw in, even where all values are the same. */
function spreadOf(low: number, high: number): number {
  const size = Math.max(Math.abs(low), Math.abs(high))
  if (size < 1e-12) return 1
  return high - low > 1e-9 * size ? high - low : size
}

/** The band steps where the limit was changed, and keeps on to the end of the picture. */
function bandParts(data: DriftChart, { x, y, low, high }: Scales): string[] {
  const last = data.readings.at(-1)
  if (last === undefined) return []
  const steps = [
    ...data.readings,
    { ...last, atMs: Math.max(last.atMs, data.crossing?.latestMs ?? 0, data.fit?.toMs ?? 0) },
  ]
  const hasLimit = (r: DriftReading) => r.min !== null || r.max !== null
  const band = area<DriftReading>()
    .defined(hasLimit)
    .curve(curveStepAfter)
    .x(r => x(r.atMs))
    .y0(r => y(r.min ?? low))
    .y1(r => y(r.max ?? high))
  const edge = (side: 'min' | 'max') =>
    lineShape<DriftReading>()
      .defined(r => r[side] !== null)
      .curve(curveStepAfter)
      .x(r => x(r.atMs))
      .y(r => y(r[side] ?? 0))
      .digits(2)(steps)
  return [
    element('path', { class: 'chart-band', d: band.digits(2)(steps) ?? '' }),
    stroke('chart-limit', edge('min')),
    stroke('chart-limit', edge('max')),
  ]
}

function breakParts(index: number, x: number): string {
  const { y0, y1 } = edges(usual)
  return element('g', {}, line('chart-axis', x, y0, x, y1, '3 3'), label(x + 4, y1 + 10, String(index + 1)))
}

/** Readings between two breaks belong together. */
function runs(data: DriftChart): DriftReading[][] {
  const cuts = data.breaks.map(b => b.atMs)
  const placeOf = (r: DriftReading) => cuts.filter(cut => cut <= r.atMs).length
  return Array.from({ length: cuts.length + 1 }, (_, i) => data.readings.filter(r => placeOf(r) === i))
}

function runPath(run: DriftReading[], { x, y }: Scales): string | null {
  return lineShape<DriftReading>()
    .defined(r => r.value !== null)
    .x(r => x(r.atMs))
    .y(r => y(r.value ?? 0))
    .digits(2)(run)
}

function fitParts({ fit, crossing }: DriftChart, { x, y, low, high }: Scales): string[] {
  const inside = (value: number) => Math.min(Math.max(value, low), high)
  const parts =
    fit === null
      ? []
      : [
          line(
            'chart-line chart-line--fit',
            x(fit.fromMs),
            y(inside(fit.from)),
            x(fit.toMs),
            y(inside(fit.to)),
            '7 4',
          ),
        ]
  if (crossing === null) return parts
  const at = y(crossing.limit)
  const ends = [crossing.earliestMs, crossing.latestMs].map(ms =>
    line('chart-line', x(ms), at - 6, x(ms), at + 6),
  )
  const bar = line('chart-line', x(crossing.earliestMs), at, x(crossing.latestMs), at)
  return [
    ...parts,
    bar,
    ...ends,
    point(
      x(crossing.atMs),
      at,
      `reaches ${numberLabel(crossing.limit)} about ${dateLabel(crossing.atMs)}`,
      true,
    ),
  ]
}

/** A reading without a number is a cross on the bottom line, not a zero. */
function readingMark(r: DriftReading, { x, y }: Scales, bottom: number): string {
  const said = `${dateLabel(r.atMs)}: ${r.words ?? numberLabel(r.value)}`
  if (r.value !== null) return point(x(r.atMs), y(r.value), said, isOut(r))
  const [cx, d] = [x(r.atMs), 4]
  const cross = [
    line('chart-line', cx - d, bottom - d, cx + d, bottom + d),
    line('chart-line', cx - d, bottom + d, cx + d, bottom - d),
  ]
  return element('g', {}, ...cross, label(cx, bottom - 9, r.words ?? 'no number', { anchor: 'middle' }))
}

function isOut(r: DriftReading): boolean {
  return r.value !== null && ((r.min !== null && r.value < r.min) || (r.max !== null && r.value > r.max))
}

function describe(data: DriftChart): string {
  const out = data.readings.filter(isOut).length
  const breaks = data.breaks.map((b, i) => `${i + 1}: ${b.words}, ${dateLabel(b.atMs)}`).join('; ')
  const { crossing } = data
  const date =
    crossing &&
    ` Reaches ${numberLabel(crossing.limit)} ${data.unit} about ${dateLabel(crossing.atMs)}, between ${dateLabel(crossing.earliestMs)} and ${dateLabel(crossing.latestMs)}.`
  return `${data.readings.length} readings, ${out} out of range.${breaks === '' ? '' : ` Changes: ${breaks}.`}${date ?? ''}`
}

function tableOf(data: DriftChart): Table {
  const readings = data.readings.map(r => ({
    atMs: r.atMs,
    row: [
      dateLabel(r.atMs),
      r.value === null ? (r.words ?? '–') : numberLabel(r.value),
      numberLabel(r.min),
      numberLabel(r.max),
      '',
    ],
  }))
  const breaks = data.breaks.map(b => ({ atMs: b.atMs, row: [dateLabel(b.atMs), '', '', '', b.words] }))
  return {
    head: ['Date', `Reading, ${data.unit}`, 'Lowest allowed', 'Highest allowed', 'Change'],
    rows: [...readings, ...breaks].toSorted((a, b) => a.atMs - b.atMs).map(r => r.row),
  }
}
