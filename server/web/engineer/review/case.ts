// The case file of a repeat offender: one page to print or to save, readable without this program.

import { readdirSync, readFileSync } from 'node:fs'
import path from 'node:path'
import type { Request, Response } from 'express'
import { coreOf } from '../../../review/figures.ts'
import { askedWindow } from '../../../review/window.ts'
import type { Deps } from '../../deps.ts'
import { renderPage } from '../../host/page.ts'
import { stayedSince } from './actions.ts'
import { positionLocals } from './position.ts'
import { lastActionsTable, lastFaultsTable } from './position-tables.ts'

export const show = (deps: Deps) => (req: Request, res: Response) => {
  renderPage(res, 'engineer/review/case', { ...caseLocals(deps, req), saved: null })
}

/** The same as one file with its style sheet inside. */
export const save = (deps: Deps) => {
  const style = styleOf(path.join(deps.viewsDir, 'assets/css'))
  return (req: Request, res: Response) => {
    const locals = caseLocals(deps, req)
    const name = `case ${locals.position.plate}`.replace(/[^\w-]+/g, '-').toLowerCase()
    res.setHeader('Content-Disposition', `attachment; filename="${name}.html"`)
    renderPage(res, 'engineer/review/case-file', { ...locals, saved: style })
  }
}

function caseLocals(deps: Deps, req: Request) {
  const locals = positionLocals(deps, req)
  const core = coreOf(deps, askedWindow(req.query, deps.times))
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

function styleOf(folder: string): string {
  const names = readdirSync(folder).filter(name => name.endsWith('.css'))
  return names
    .sort()
    .map(name => readFileSync(path.join(folder, name), 'utf8'))
    .join('\n')
}
