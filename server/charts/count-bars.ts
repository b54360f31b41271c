import { max } from 'd3-array'
import { scaleBand, scaleLinear } from 'd3-scale'
import { leftAxis } from './axis.ts'
import { type Caption, type Chart, draw, edges, empty, type Frame, usual } from './chart.ts'
import { numberLabel } from './labels.ts'
import { bar, element, label, line } from './svg.ts'

export interface CountBars extends Caption {
  /** `expected` is drawn as a line across its bar; null where nothing is expected. */
  bars: { label: string; count: number; expected: number | null }[]
  barLabel: string
  countLabel: string
}

const frame: Frame = { ...usual, height: 300 }

/** Counts side by side against what would be expected: last digits, months, bands of temperature. */
export function countBars(data: CountBars): Chart {
  const head = [data.barLabel, data.countLabel, 'Expected']
  const rows = data.bars.map(b => [b.label, numberLabel(b.count), numberLabel(b.expected)])
  if (data.bars.length === 0) return empty(data, frame, 'Nothing to count.', { head, rows })
  const { x0, x1, y0, y1 } = edges(frame)
  const x = scaleBand(
    data.bars.map(b => b.label),
    [x0, x1],
  ).padding(0.2)
  const y = scaleLinear([0, max(data.bars, b => Math.max(b.count, b.expected ?? 0)) || 1], [y0, y1]).nice()
  const bars = data.bars.map(b => {
    const left = x(b.label) ?? x0
    const box = bar(left, y(b.count), x.bandwidth(), y0 - y(b.count), `${b.label}: ${numberLabel(b.count)}`)
    const expected =
      b.expected === null
        ? ''
        : line('chart-limit', left - 3, y(b.expected), left + x.bandwidth() + 3, y(b.expected))
    return element(
      'g',
      {},
      box,
      expected,
      label(left + x.bandwidth() / 2, y0 + 19, b.label, { anchor: 'middle' }),
    )
  })
  const name = label((x0 + x1) / 2, y0 + 40, data.barLabel, { anchor: 'middle', variant: 'name' })
  const most = data.bars.reduce((a, b) => (b.count > a.count ? b : a))
  const description = `${data.bars.length} bars; the highest is ${most.label} with ${numberLabel(most.count)}.`
  const parts = [
    leftAxis(y, frame, { label: data.countLabel }),
    line('chart-axis', x0, y0, x1, y0),
    ...bars,
    name,
  ]
  return { svg: draw(data, description, frame, parts), table: { head, rows } }
}
