import { scaleLinear } from 'd3-scale'
import { bottomAxis, leftAxis } from './axis.ts'
import { type Caption, type Chart, draw, edges, empty, type Frame } from './chart.ts'
import { numberLabel, percentLabel } from './labels.ts'
import { element, label, line, point } from './svg.ts'

export interface CalibrationPlot extends Caption {
  /** Chances 0 to 1: the mean said, the share that came true, its limits, and how many. */
  bins: { said: number; true: number; low: number; high: number; n: number }[]
}

const frame: Frame = { width: 440, height: 440, top: 28, right: 36, bottom: 52, left: 64 }

/** What was said against what came true: on the diagonal the chances are calibrated. */
export function calibrationPlot(data: CalibrationPlot): Chart {
  const head = ['Chance said', 'Came true', 'Low', 'High', 'n']
  const rows = data.bins.map(b => [...[b.said, b.true, b.low, b.high].map(percentLabel), numberLabel(b.n)])
  if (rows.length === 0) return empty(data, frame, 'No settled faults to compare with.', { head, rows })
  const { x0, x1, y0, y1 } = edges(frame)
  const x = scaleLinear([0, 1], [x0, x1])
  const y = scaleLinear([0, 1], [y0, y1])
  const bins = data.bins.map(b => {
    const off = b.said < b.low || b.said > b.high
    const at = x(b.said)
    const bar = [
      line('chart-line', at, y(b.low), at, y(b.high)),
      line('chart-line', at - 4, y(b.low), at + 4, y(b.low)),
      line('chart-line', at - 4, y(b.high), at + 4, y(b.high)),
    ]
    const words = `said ${percentLabel(b.said)}, came true ${percentLabel(b.true)}, n = ${b.n}`
    return element(
      'g',
      {},
      ...bar,
      point(at, y(b.true), words, off, 4.5),
      label(at + 8, y(b.true) + 4, String(b.n)),
    )
  })
  const parts = [
    leftAxis(y, frame, { label: 'Came true', words: percentLabel }),
    bottomAxis(x, frame, { label: 'Chance said', ticks: 5, words: percentLabel }),
    line('chart-limit', x(0), y(0), x(1), y(1), '6 4'),
    ...bins,
  ]
  const off = data.bins.filter(b => b.said < b.low || b.said > b.high).length
  const n = data.bins.reduce((total, b) => total + b.n, 0)
  const description = `${n} predictions in ${rows.length} groups; ${off} groups where what came true does not agree with what was said. Numbers beside the dots are n.`
  return { svg: draw(data, description, frame, parts), table: { head, rows } }
}
