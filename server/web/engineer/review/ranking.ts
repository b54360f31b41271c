// How good the ranking of likely causes has been, told from the depot's own closed faults.

import type { Request, Response } from 'express'
import { calibrationPlot } from '../../../charts/calibration-plot.ts'
import type { Quality } from '../../../diagnosis/quality.ts'
import { qualityOf } from '../../../diagnosis/quality.ts'
import { wilson } from '../../../history/no-fault-found.ts'
import type { Deps } from '../../deps.ts'
import { renderPage } from '../../page.ts'
import { kept } from './kept.ts'
import { frame } from './pages.ts'

/** Each fault is judged by all the others, which costs the square of their number. */
const mostFaults = 500
const keptMs = 3_600_000

export const show = (deps: Deps) => (req: Request, res: Response) => {
  const { common } = frame(deps, req)
  const edition = deps.library.current()
  const found = kept(deps, `ranking ${edition.id}`, asAtMs => judged(deps, asAtMs), keptMs)
  renderPage(res, 'engineer/review/ranking', {
    ...common,
    title: 'How good the ranking is',
    ...found,
    plot: plotOf(found.quality),
    suggestions: deps.storage.suggestions.counts(),
    edition: edition.id.slice(0, 8),
  })
}

function judged(deps: Deps, asAtMs: number) {
  const past = deps.storage.pastFaults.latest(mostFaults)
  const quality = qualityOf(deps.library.current().knowledge, past)
  return { quality, asAtMs, past: past.length, mostFaults }
}

function plotOf({ bins }: Quality) {
  return calibrationPlot({
    id: 'calibration',
    title: 'What was said against what came true',
    bins: bins.flatMap(({ n, predicted, observed }) => {
      if (predicted === null || observed === null) return []
      const { low, high } = wilson(Math.round(observed * n), n)
      return [{ said: predicted, true: observed, low: low ?? 0, high: high ?? 1, n }]
    }),
  })
}
