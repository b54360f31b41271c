import { get, post, type Route } from '../host/route.ts'
import * as draftViews from './drafts/draft-views.ts'
import * as drafts from './drafts/drafts.ts'
import * as proposals from './drafts/proposals.ts'
import * as replays from './drafts/replays.ts'
import * as trying from './drafts/try.ts'
import * as editions from './editions/editions.ts'
import * as limitFiles from './limits/limit-files.ts'
import * as limits from './limits/limits.ts'
import * as cost from './trees/cost.ts'
import * as coverage from './trees/coverage.ts'
import * as evidence from './trees/evidence.ts'
import * as fieldReports from './trees/field-reports.ts'
import * as knowledge from './trees/knowledge.ts'
import * as sources from './trees/sources.ts'

/** The addresses about the knowledge, and who may go there: part of the site map. */
export const authorRoutes: Route[] = [
  get('/sources', 'signed in', sources.show),
  get('/knowledge', 'signed in', knowledge.index),
  get('/knowledge/:tree', 'signed in', knowledge.show),
  get('/knowledge/:tree/drawing', 'signed in', knowledge.drawing),
  get('/knowledge/:tree/evidence', 'review knowledge', evidence.show),
  get('/knowledge/:tree/cost', 'review knowledge', cost.show),
  post('/knowledge/:tree/withdrawal', 'publish knowledge', editions.withdrawTree),
  post('/knowledge/:tree/withdrawal/end', 'publish knowledge', editions.liftTree),
  get('/coverage', 'review knowledge', coverage.show),
  get('/limits', 'review knowledge', limits.index),
  get('/limits/:kind', 'review knowledge', limits.show),
  post('/limits/:kind', 'write knowledge', limits.update),
  get('/limits/:kind/file', 'review knowledge', limitFiles.show),
  post('/limits/:kind/file', 'write knowledge', limitFiles.create),
  get('/drafts/new', 'write knowledge', drafts.add),
  get('/drafts/import', 'write knowledge', drafts.addImport),
  post('/drafts', 'write knowledge', drafts.create),
  post('/drafts/files', 'write knowledge', drafts.createFile),
  post('/drafts/import', 'write knowledge', drafts.importBundle),
  get('/drafts/:draft', 'review knowledge', drafts.show),
  post('/drafts/:draft', 'write knowledge', drafts.update),
  post('/drafts/:draft/texts', 'write knowledge', drafts.save),
  get('/drafts/:draft/file', 'review knowledge', draftViews.file),
  get('/drafts/:draft/drawing', 'review knowledge', draftViews.drawing),
  get('/drafts/:draft/table', 'review knowledge', draftViews.table),
  get('/drafts/:draft/examples', 'review knowledge', draftViews.examples),
  get('/drafts/:draft/try', 'review knowledge', trying.show),
  get('/drafts/:draft/replays', 'review knowledge', replays.add),
  post('/drafts/:draft/replays', 'review knowledge', replays.create),
  get('/replays/:replay', 'review knowledge', replays.show),
  get('/replays/:replay/:fault', 'review knowledge', replays.showOne),
  get('/proposals/new', 'write knowledge', proposals.add),
  post('/proposals', 'write knowledge', proposals.create),
  get('/proposals/:proposal', 'review knowledge', proposals.show),
  post('/proposals/:proposal/decisions', 'review knowledge', proposals.decide),
  post('/proposals/:proposal/publication', 'publish knowledge', proposals.publish),
  get('/editions', 'review knowledge', editions.index),
  get('/editions/:edition/changes', 'review knowledge', editions.changes),
  get('/editions/:edition/bundle', 'review knowledge', draftViews.bundle),
  get('/editions/:edition/files/:folder/:name', 'review knowledge', draftViews.editionFile),
  post('/editions/:edition/withdrawal', 'publish knowledge', editions.withdraw),
  get('/field-reports', 'review knowledge', fieldReports.index),
  post('/field-reports/:report/answers', 'review knowledge', fieldReports.answer),
]
