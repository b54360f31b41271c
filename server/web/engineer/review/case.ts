// The case file of a repeat offender: one page to print or to save, readable without this program.

import { coreOf } from '../../../review/figures.ts'
import { askedWindow } from '../../../review/window.ts'
import type { Deps } from '../../deps.ts'
import { attachment, page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { stayedSince } from './actions.ts'
import { positionLocals } from './position.ts'
import { lastActionsTable, lastFaultsTable } from './position-tables.ts'

export const show = (deps: Deps) => (req: Request) => {
  return page('engineer/review/case', { ...caseLocals(deps, req), saved: null })
}

/** The same as one file with its style sheet inside. */
export const save = (deps: Deps) => {
  const saved = deps.host.styleSheets()
  return (req: Request) => {
    const locals = caseLocals(deps, req)
    const name = `case ${locals.position.plate}`.replace(/[^\w-]+/g, '-').toLowerCase()
    const headers = attachment(`${name}.html`)
    return page('engineer/review/case-file', { ...locals, saved }, { headers })
  }
}

function caseLocals(deps: Deps, req: Request) {
  const locals = positionLocals(deps, req)
  const core = coreOf(deps, askedWindow(req.query, { times: deps.times, now: deps.clock() }))
  return {
    ...locals,
    title: `Case file: ${locals.title}`,
    lastFaults: lastFaultsTable(locals.faults, locals),
    lastActions: lastActionsTable(
      locals.reviews.map(review => ({ review, stayed: stayedSince(deps, core, review) })),
      deps.times,
    ),
    worst: locals.drifts.filter(one => one.drift.crosses.value !== null).slice(0, 1),
    madeAt: deps.times.moment(deps.clock().toISOString()),
  }
}
