// Data to draw: published sets where there is one, invented where not, always the same.

import { calibrationPlot } from '../../server/charts/calibration-plot.ts'
import type { Chart } from '../../server/charts/chart.ts'
import { countBars } from '../../server/charts/count-bars.ts'
import { cumulativePlot } from '../../server/charts/cumulative-plot.ts'
import { driftChart } from '../../server/charts/drift-chart.ts'
import { funnelPlot } from '../../server/charts/funnel-plot.ts'
import { heatStrip } from '../../server/charts/heat-strip.ts'
import { logScatterChart } from '../../server/charts/log-scatter.ts'
import { paretoBars } from '../../server/charts/pareto-bars.ts'
import { positionTimeline } from '../../server/charts/position-timeline.ts'
import { yearDays } from '../../server/history/positions/fault-rate.ts'
import { funnel } from '../../server/history/positions/funnel.ts'
import { arrows, logScatter } from '../../server/history/positions/log-scatter.ts'
import { pareto } from '../../server/history/positions/pareto.ts'
import { driftOf } from '../../server/history/readings/drift.ts'
import { meanCumulative } from '../../server/history/time/cumulative.ts'
import { seeded } from '../history/chance.ts'
import { valveSeats } from '../published/history-valve-seats.ts'
import { costs } from './sample-causes.ts'

const day = 86_400_000
const start = Date.UTC(2024, 0, 8)

export const charts: Record<string, () => Chart> = {
  'funnel-plot': funnelSample,
  'cumulative-plot': cumulativeSample,
  'drift-chart': driftSample,
  'pareto-bars': paretoSample,
  'log-scatter': scatterSample,
  'position-timeline': timelineSample,
  'last-digits': digitsSample,
  'calibration-plot': calibrationSample,
  'heat-strip': heatSample,
}

function funnelSample(): Chart {
  const random = seeded(7)
  const quiet = Array.from({ length: 90 }, (_, i) => {
    const serviceDays = 150 + 1700 * random.next()
    return {
      id: `Position ${i + 1}`,
      kind: 'loop',
      faults: random.poisson(0.0012 * serviceDays),
      serviceDays,
    }
  })
  const plot = funnel([
    ...quiet,
    { id: 'Signal 14', kind: 'loop', faults: 9, serviceDays: 1100 },
    { id: 'Signal 22', kind: 'loop', faults: 5, serviceDays: 500 },
  ])
  const years = (days: number) => days / yearDays
  return funnelPlot({
    id: 'funnel',
    title: 'Faults a year against time in service, overspeed loops',
    points: (plot?.points ?? []).map(p => ({
      name: p.id,
      exposure: years(p.serviceDays),
      rate: p.perDay * yearDays,
      zone: p.zone,
    })),
    limits: (plot?.limits ?? []).map(l => ({
      exposure: years(l.serviceDays),
      low95: l.low95 * yearDays,
      high95: l.high95 * yearDays,
      low998: l.low998 * yearDays,
      high998: l.high998 * yearDays,
    })),
    rate: (plot?.perDay ?? 0) * yearDays,
    exposureLabel: 'Years in service',
    rateLabel: 'Faults a year',
  })
}

/** Nelson 1995, valve seats: the first and the second half of the engines. */
function cumulativeSample(): Chart {
  const halves = [valveSeats.slice(0, 20), valveSeats.slice(20)]
  return cumulativePlot({
    id: 'cumulative',
    title: 'Replacements by age',
    atLabel: 'Days in service',
    countLabel: 'Mean count',
    groups: halves.map((half, i) => ({
      name: i === 0 ? 'first twenty' : 'the rest',
      points: meanCumulative(half),
      end: Math.max(...half.map(h => h.end)),
    })),
  })
}

function driftSample(): Chart {
  const random = seeded(3)
  const swapped = start + 8 * 28 * day
  const level = (i: number) => (i < 8 ? 112 : 118 - 0.55 * (i - 8))
  const readings = Array.from({ length: 26 }, (_, i) => ({
    atMs: start + i * 28 * day,
    value: i === 5 ? null : level(i) + 0.8 * random.normal(),
    min: i < 14 ? 96 : 99,
    max: 121,
    ...(i === 5 ? { words: 'open' } : {}),
  }))
  const breaks = [{ atMs: swapped - day, words: 'power module changed' }]
  const { slope, fromMs, crosses } = driftOf(readings, breaks)
  const end = crosses.value?.latestMs ?? readings.at(-1)?.atMs ?? start
  const fitted = (ms: number) => (slope?.intercept ?? 0) + (slope?.slope ?? 0) * ((ms - fromMs) / day)
  return driftChart({
    id: 'drift',
    title: 'Supply voltage at Signal 14',
    unit: 'V AC',
    readings,
    breaks,
    fit: { fromMs, from: fitted(fromMs), toMs: end, to: fitted(end) },
    crossing: crosses.value === null ? null : { ...crosses.value },
  })
}

function paretoSample(): Chart {
  const rows = pareto(costs(1, 1), 'minutes').map(r => ({
    name: r.cause,
    amount: Math.round(r.amount),
    running: r.running,
    n: r.n,
  }))
  return paretoBars({ id: 'pareto', title: 'Causes by minutes to restore', rows, amountLabel: 'minutes' })
}

function scatterSample(): Chart {
  const [before, after] = [logScatter(costs(2, 1.4)), logScatter(costs(1, 1))]
  if (before === null || after === null) throw new Error('nothing to draw')
  return logScatterChart({
    id: 'scatter',
    title: 'How often against how long',
    ...after,
    arrows: arrows(before, after),
  })
}

function timelineSample(): Chart {
  const at = (n: number) => start + n * day
  const mark = (n: number, words: string, out = false) => ({ atMs: at(n), words, out })
  return positionTimeline({
    id: 'timeline',
    title: 'Signal 14',
    fromMs: start,
    toMs: at(700),
    lanes: [
      {
        name: 'Faults',
        marks: [
          mark(60, 'output lamp dark', true),
          mark(96, 'output lamp dark', true),
          mark(420, 'weak field', true),
        ],
        spans: [],
      },
      {
        name: 'Units',
        marks: [],
        spans: [
          { fromMs: null, toMs: at(97), label: 'PM 0113', words: 'power module 0113' },
          { fromMs: at(97), toMs: at(421), label: 'PM 0207', words: 'power module 0207' },
          { fromMs: at(421), toMs: null, label: 'PM 0098', words: 'power module 0098' },
        ],
      },
      {
        name: 'Visits',
        marks: [20, 110, 205, 300, 390, 480, 575, 660].map(n => mark(n, 'round, healthy')),
        spans: [],
      },
      {
        name: 'Work',
        marks: [mark(61, 'link remade'), mark(350, 'cable trough relaid')],
        spans: [{ fromMs: at(340), toMs: at(372), label: 'Trough', words: 'cable trough works' }],
      },
      { name: 'Notes', marks: [mark(100, 'review opened')], spans: [] },
    ],
  })
}

function digitsSample(): Chart {
  const counts = [61, 32, 35, 28, 33, 52, 30, 31, 34, 29]
  const expected = counts.reduce((a, b) => a + b, 0) / 10
  return countBars({
    id: 'digits',
    title: 'Last digit of the readings',
    barLabel: 'Last digit',
    countLabel: 'Readings',
    bars: counts.map((count, i) => ({ label: String(i), count, expected })),
  })
}

function calibrationSample(): Chart {
  const bins = [
    [0.05, 0.04, 0.02, 0.09, 210],
    [0.15, 0.17, 0.11, 0.25, 120],
    [0.32, 0.3, 0.2, 0.42, 74],
    [0.55, 0.38, 0.26, 0.52, 61],
    [0.78, 0.8, 0.66, 0.89, 50],
    [0.93, 0.95, 0.85, 0.98, 44],
  ] as const
  return calibrationPlot({
    id: 'calibration',
    title: 'First-named cause: said and found',
    bins: bins.map(([said, t, low, high, n]) => ({ said, true: t, low, high, n })),
  })
}

function heatSample(): Chart {
  const random = seeded(21)
  const months = Array.from({ length: 36 }, (_, i) => {
    const month = (i % 12) + 1
    const count = i < 3 ? null : random.poisson(month >= 11 || month <= 2 ? 14 : 5)
    return { year: 2023 + Math.floor(i / 12), month, count }
  })
  return heatStrip({ id: 'heat', title: 'Faults by month', months, countLabel: 'Faults' })
}
