import { bin, extent, max } from 'd3-array'
import { scaleLinear } from 'd3-scale'
import { bottomAxis, leftAxis } from './axis.ts'
import { type Caption, type Chart, draw, edges, empty, usual } from './chart.ts'
import { numberLabel } from './labels.ts'
import { bar, element, label, line } from './svg.ts'

export interface Histogram extends Caption {
  values: readonly number[]
  /** Limits drawn as lines; null where there is none. */
  min: number | null
  max: number | null
  /** "Supply voltage, V AC" */
  valueLabel: string
  bins?: number
}

/** How many readings fall where, with the limits among them. */
export function histogram(data: Histogram): Chart {
  const bins = bin().thresholds(data.bins ?? 20)([...data.values])
  const head = ['From', 'To', 'Readings']
  const rows = bins.map(b => [numberLabel(b.x0 ?? 0), numberLabel(b.x1 ?? 0), numberLabel(b.length)])
  if (data.values.length === 0) return empty(data, usual, 'No readings yet.', { head, rows: [] })
  const { x0, x1, y0, y1 } = edges(usual)
  const ends = bins.flatMap(b => [b.x0 ?? 0, b.x1 ?? 0])
  const limits = [data.min, data.max].filter(v => v !== null)
  const [low = 0, high = 1] = extent([...ends, ...limits])
  const pad = (high - low || 1) * 0.03
  const x = scaleLinear([low - pad, high + pad], [x0, x1])
  const y = scaleLinear([0, max(bins, b => b.length) ?? 1], [y0, y1]).nice()
  const bars = bins
    .filter(b => b.length > 0)
    .map(b => {
      const [from, to] = [x(b.x0 ?? 0), x(b.x1 ?? 0)]
      const words = `${numberLabel(b.x0 ?? 0)} to ${numberLabel(b.x1 ?? 0)}: ${b.length}`
      return bar(from + 0.5, y(b.length), Math.max(1, to - from - 1), y0 - y(b.length), words)
    })
  const marks = limits.map(v =>
    element('g', {}, line('chart-limit', x(v), y0, x(v), y1), label(x(v) + 5, y1 + 10, numberLabel(v))),
  )
  const parts = [
    leftAxis(y, usual, { label: 'Readings' }),
    bottomAxis(x, usual, { label: data.valueLabel }),
    ...bars,
    ...marks,
  ]
  const description = `${data.values.length} readings from ${numberLabel(Math.min(...ends))} to ${numberLabel(Math.max(...ends))}. Limits: ${limits.map(numberLabel).join(' and ') || 'none'}.`
  return { svg: draw(data, description, usual, parts), table: { head, rows } }
}
