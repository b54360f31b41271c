import { createNamedCache } from '../../../cache.ts'
import { AppError } from '../../../errors.ts'
import type { Knowledge } from '../../../knowledge/types.ts'
import { type Replayed, replay } from '../../../walk/replay.ts'
import type { Deps } from '../../deps.ts'
import { page, redirect } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { columns, type Mark, numbers, row, type Table } from '../../partials.ts'
import { draftTree } from './draft-views.ts'

/** The walks on record against a draft, worked through bit by bit so that no page waits for it. */
interface Run {
  id: string
  draftId: string
  title: string
  total: number
  done: number
  skipped: number
  results: Replayed[]
  finished: boolean
}

/** In memory alone: a run is quickly made anew. */
const runs = createNamedCache<Run>({ maxEntries: 12, now: Date.now })
const bitMs = 25

/** Explains what a replay is, and starts one. */
export const add = (deps: Deps) => (req: Request) => {
  const { draft, tree } = draftTree(deps, req)
  return page('author/drafts/replay-new', {
    title: 'Replay the past',
    desk: true,
    back: { href: `/drafts/${draft.id}`, text: 'The draft' },
    draft,
    tree,
    walks: deps.storage.walked.list().length,
  })
}

export const create = (deps: Deps) => (req: Request) => {
  const { draft, checked, tree } = draftTree(deps, req)
  const faults = deps.storage.walked.list()
  const run: Run = {
    id: crypto.randomUUID(),
    draftId: draft.id,
    title: tree.title,
    total: faults.length,
    done: 0,
    skipped: 0,
    results: [],
    finished: false,
  }
  runs.set(run.id, run)
  workThrough(deps, checked.knowledge, run, faults)
  return redirect(`/replays/${run.id}`)
}

/** How far the run is, and what it has found so far; the page comes again by itself until it is done. */
export const show = (_deps: Deps) => (req: Request) => {
  const run = runs.get(String(req.params.replay))
  if (!run) throw new AppError('not found', 'This replay is no longer kept. Start it again from the draft.')
  const headers: Record<string, string> = run.finished ? {} : { Refresh: '1' }
  const changed = run.results.filter(one => one.change !== 'same')
  const locals = {
    title: `The past on the draft of ${run.title}`,
    desk: true,
    back: { href: `/drafts/${run.draftId}`, text: 'The draft' },
    run,
    changed: changedTable(
      changed.sort((a, b) => gravity(a) - gravity(b) || Math.abs(b.minutes) - Math.abs(a.minutes)),
      run.id,
      run.finished,
    ),
    counts: countsTable(
      (['elsewhere', 'stuck', 'longer', 'shorter', 'same'] as const).map(kind => tally(run, kind)),
    ),
  }
  return page('author/drafts/replay', locals, { headers })
}

/** One walk: its way before and its way now, side by side. */
export const showOne = (deps: Deps) => (req: Request) => {
  const run = runs.get(String(req.params.replay))
  const replayed = run?.results.find(one => one.faultId === req.params.fault)
  if (!run || !replayed)
    throw new AppError('not found', 'This replay is no longer kept. Start it again from the draft.')
  return page('author/drafts/replay-one', {
    title: 'One walk, before and now',
    desk: true,
    back: { href: `/replays/${run.id}`, text: 'The replay' },
    run,
    replayed,
    summary: deps.storage.faults.summary(replayed.faultId),
  })
}

function workThrough(deps: Deps, now: Knowledge, run: Run, faults: string[]): void {
  const until = performance.now() + bitMs
  while (run.done < faults.length && performance.now() < until) {
    replayOne(deps, now, run, faults[run.done] ?? '')
    run.done += 1
  }
  if (run.done >= faults.length) run.finished = true
  else if (runs.get(run.id)) deps.host.whenIdle(() => workThrough(deps, now, run, faults))
}

/** A record of an edition that is not there, or a database that has just closed, must not end the program. */
function replayOne(deps: Deps, now: Knowledge, run: Run, faultId: string): void {
  try {
    const record = deps.storage.faults.get(faultId)
    const then = deps.library.edition(record.fault.editionId)?.knowledge
    if (!then) run.skipped += 1
    else
      run.results.push(replay(then, now, record, deps.storage.positions.get(record.fault.positionId).facts))
  } catch (error) {
    deps.log.warn({ error, faultId }, 'a walk could not be replayed')
    run.skipped += 1
  }
}

function tally({ results }: Run, kind: Replayed['change']) {
  const of = results.filter(one => one.change === kind)
  const minutes = of.reduce((sum, one) => sum + one.minutes, 0)
  return { kind, walks: of.length, mean: of.length > 0 ? minutes / of.length : 0 }
}

function gravity({ change }: Replayed): number {
  return ['stuck', 'elsewhere', 'longer', 'shorter', 'same'].indexOf(change)
}

const mostChanged = 300

const changeMarks: Record<Replayed['change'], Mark> = {
  same: { kind: 'in', word: 'end as they did, in the same time' },
  elsewhere: { kind: 'out', word: 'end elsewhere' },
  stuck: { kind: 'hold', word: 'get stuck' },
  longer: { kind: 'above', word: 'take longer' },
  shorter: { kind: 'below', word: 'take shorter' },
}

/** How many walks end how; `mean`: minutes more than before. */
function countsTable(counts: { kind: Replayed['change']; walks: number; mean: number }[]): Table {
  return {
    caption: 'What became of them',
    columns: columns('They', numbers('Walks'), numbers('Minutes each, on average')),
    rows: counts.map(({ kind, walks, mean }) =>
      row({ mark: changeMarks[kind] }, walks, meanWords(walks, mean)),
    ),
  }
}

function meanWords(walks: number, mean: number): string {
  if (walks === 0 || Math.abs(mean) < 0.05) return '–'
  return `${mean > 0 ? '+' : '−'}${Math.abs(mean).toFixed(1)}`
}

/** The walks that change, the gravest first; `finished`: all of them were looked at. */
function changedTable(changed: Replayed[], runId: string, finished: boolean): Table {
  const shown = changed.slice(0, mostChanged)
  return {
    caption: `The gravest first${shown.length === mostChanged ? `, ${mostChanged} of them` : ''}`,
    columns: columns('Walk', 'Change', 'Ended at', 'Ends now at', numbers('Minutes')),
    rows: shown.map(one =>
      row(
        { text: one.faultId.slice(0, 10), href: `/replays/${runId}/${one.faultId}` },
        { mark: { kind: changeMarks[one.change].kind, word: one.change } },
        one.before.words,
        one.after.words,
        minutesWords(one.minutes),
      ),
    ),
    empty: finished ? 'None of them.' : 'None so far.',
  }
}

function minutesWords(minutes: number): string {
  if (minutes === 0) return '0'
  return `${minutes > 0 ? '+' : '−'}${Math.abs(minutes)}`
}
