// How good the ranking of likely causes has been, told from the depot's own closed faults.

import { createNamedCache, memo } from '../../../cache.ts'
import { calibrationPlot } from '../../../charts/calibration-plot.ts'
import type { Quality } from '../../../diagnosis/judging/quality.ts'
import type { OrderMinutes } from '../../../diagnosis/judging/replay.ts'
import { wilson } from '../../../history/no-fault-found.ts'
import { TRIAL_RESULT_OF_ALL, TRIED_EACH, TRIED_ON } from '../../../practice/trials/trial-results.ts'
import { percentWords } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { columns, numbers, row, type Table } from '../../partials.ts'
import { frame } from './pages.ts'
import type { ReviewWords } from './review-words.ts'
import { trialsSaid, trialsTable } from './trials-table.ts'

/** Each fault is judged by all the others, which costs the square of their number. */
const mostFaults = 500
const maxAgeMs = 6 * 3_600_000
/** So long it is not begun anew, however many faults are closed meanwhile: it takes a minute of one processor. */
const restMs = 10 * 60_000

interface Judging {
  edition: string
  /** Of the record it was begun from. */
  version: string
  asAtMs: number
  past: number
  /** null while it is being worked out, or when it could not be. */
  quality: Quality | null
  failed: boolean
  /** The one before it, shown until this one is worked out. */
  before: Judging | null
}

/** By the edition in use, and no other. */
const judgingsOf = memo(({ clock }: Deps) =>
  createNamedCache<Judging>({ maxEntries: 1, maxAgeMs, now: () => clock().getTime() }),
)

export const show = (deps: Deps) => (req: Request) => {
  const { common } = frame(deps, req)
  const newest = judged(deps)
  const judging = newest.quality === null ? (newest.before ?? newest) : newest
  return page('engineer/review/ranking', {
    ...common,
    title: 'How good the ranking is',
    ...judging,
    mostFaults,
    plot: judging.quality && plotOf(judging.quality),
    figures: judging.quality && rankingFigures(judging.quality, common),
    workedOutAt: deps.times.moment(new Date(judging.asAtMs).toISOString()),
    trials: trialsTable(),
    trialsSaid: trialsSaid(TRIAL_RESULT_OF_ALL),
    triedEach: TRIED_EACH,
    triedOn: deps.times.day(TRIED_ON),
    suggestions: deps.storage.suggestions.counts(),
    edition: judging.edition.slice(0, 8),
  })
}

function worked(judging: Judging | undefined): Judging | null {
  if (judging === undefined) return null
  return judging.quality === null ? judging.before : { ...judging, before: null }
}

/** How far it has come; begun anew for another edition, for what came in since, and when it failed. */
function judged(deps: Deps): Judging {
  const edition = deps.library.current().id
  const version = deps.storage.knownSpans.version()
  const now = deps.clock().getTime()
  const cached = judgingsOf(deps).get(edition)
  const isFresh = cached && (cached.version === version || now - cached.asAtMs < restMs)
  if (cached && !cached.failed && isFresh) return cached
  const past = deps.storage.pastFaults.latest(mostFaults)
  const asAtMs = deps.clock().getTime()
  const judging: Judging = {
    edition,
    version,
    asAtMs,
    past: past.length,
    quality: null,
    failed: false,
    before: worked(cached),
  }
  judgingsOf(deps).set(edition, judging)
  const files = deps.storage.editions.files(edition)
  deps.host.judgeRanking({ files, past }, quality => {
    Object.assign(judging, { quality, failed: quality === null })
    if (quality === null) deps.log.error('the ranking could not be judged')
  })
  return judging
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

/** How good the ranking was, in figures fit to be shown. */
function rankingFigures(quality: Quality, { figureWords }: ReviewWords) {
  const percent = (share: number | null) => (share === null ? '–' : percentWords(share).replace(' %', ''))
  return {
    first: percent(quality.first),
    firstThree: percent(quality.firstThree),
    brier: figureWords(quality.brier),
    minutes: minutesTable(quality, figureWords),
  }
}

function minutesTable({ minutes, repeaters }: Quality, figureWords: ReviewWords['figureWords']): Table {
  const rowOf = (name: string, { n, author, suggested, best }: OrderMinutes) => {
    const each = (sum: number) => (n ? `${figureWords(sum / n)} each` : '–')
    return row(name, n, each(author), each(suggested), each(best))
  }
  return {
    caption: 'By the order of the checks, in minutes of the author’s own times',
    captionHidden: true,
    columns: columns(
      'Faults',
      numbers('n'),
      numbers('The author’s order'),
      numbers('Taking every suggestion'),
      numbers('The best order a deep search finds'),
    ),
    rows: [rowOf('All', minutes), rowOf('At positions with three earlier ones or more', repeaters)],
  }
}
