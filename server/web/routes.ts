import express, { type RequestHandler, type Router } from 'express'
import { actAs, actAsThroughout } from '../storage/engine/acting.ts'
import { authorRoutes } from './author/routes.ts'
import * as sources from './author/trees/sources.ts'
import type { Deps } from './deps.ts'
import * as importing from './engineer/bring-in/import.ts'
import * as importCheck from './engineer/bring-in/import-check.ts'
import * as importColumns from './engineer/bring-in/import-columns.ts'
import * as importWords from './engineer/bring-in/import-words.ts'
import * as openFaults from './engineer/faults/open-faults.ts'
import * as quality from './engineer/faults/quality.ts'
import * as register from './engineer/railway/instruments.ts'
import * as roundsIntervals from './engineer/railway/rounds-intervals.ts'
import * as sites from './engineer/railway/sites.ts'
import * as reviewActions from './engineer/review/actions.ts'
import * as reviewCase from './engineer/review/case.ts'
import * as reviewDelay from './engineer/review/delay.ts'
import * as review from './engineer/review/pages.ts'
import * as reviewPosition from './engineer/review/position.ts'
import * as reviewRanking from './engineer/review/ranking.ts'
import * as reviewRules from './engineer/review/rules.ts'
import * as reviewUnit from './engineer/review/unit.ts'
import * as exporting from './engineer/take-out/export.ts'
import { home } from './home.ts'
import { mustHave } from './host/must-have.ts'
import { get, post, type Route } from './host/route.ts'
import { actorOf } from './host/visitor.ts'
import * as look from './look.ts'
import * as chooseOwn from './people/choose-own.ts'
import * as own from './people/own.ts'
import * as people from './people/people.ts'
import * as setup from './people/setup.ts'
import * as signIn from './people/sign-in.ts'
import * as signedIn from './people/signed-in.ts'
import * as tablets from './people/tablets.ts'
import * as trail from './people/trail.ts'
import * as attendances from './technician/attend/attendances.ts'
import * as handovers from './technician/attend/handovers.ts'
import * as hold from './technician/attend/hold.ts'
import * as identity from './technician/attend/identity.ts'
import * as status from './technician/attend/status.ts'
import * as calculators from './technician/calculators/calculators.ts'
import * as checks from './technician/check/checks.ts'
import * as corrections from './technician/check/corrections.ts'
import * as departures from './technician/check/departures.ts'
import * as findings from './technician/check/findings.ts'
import * as likely from './technician/check/likely.ts'
import * as reports from './technician/check/reports.ts'
import * as closures from './technician/close/closures.ts'
import * as record from './technician/close/record.ts'
import * as instruments from './technician/instruments/instruments.ts'
import * as photos from './technician/photos/photos.ts'
import * as proofs from './technician/prove/proofs.ts'
import * as putBack from './technician/prove/put-back.ts'
import * as cause from './technician/repair/cause.ts'
import * as repairs from './technician/repair/repairs.ts'
import * as faults from './technician/report/faults.ts'
import * as positions from './technician/report/positions.ts'
import * as rounds from './technician/rounds/rounds.ts'
import * as roundsChecks from './technician/rounds/rounds-checks.ts'
import * as roundsEnd from './technician/rounds/rounds-end.ts'

export type { Handler, Route } from './host/route.ts'

/** Every address of the program, and who may go there. */
export const siteMap: Route[] = [
  get('/', 'anyone', home),
  get('/sign-in', 'anyone', signIn.show),
  post('/sign-in', 'anyone', signIn.create),
  post('/sign-out', 'anyone', signIn.destroy),
  post('/cover', 'anyone', signIn.cover),
  get('/setup', 'anyone', setup.show),
  post('/setup', 'anyone', setup.create),
  get('/look', 'anyone', look.show),
  post('/look', 'anyone', look.choose),

  get('/people', 'manage people', people.index),
  post('/people', 'manage people', people.create),
  post('/people/:person', 'manage people', people.update),
  post('/people/:person/release', 'manage people', people.release),
  post('/people/:person/sign-out', 'manage people', people.signOut),
  get('/me', 'signed in', own.show),
  post('/me', 'signed in', own.update),
  post('/me/sessions', 'signed in', signedIn.end),
  get('/me/own', 'signed in', chooseOwn.show),
  post('/me/own', 'signed in', chooseOwn.update),
  get('/tablets', 'manage people', tablets.index),
  post('/tablets', 'manage people', tablets.create),
  post('/tablets/:tablet/revocation', 'manage people', tablets.revoke),
  get('/trail', 'look after the depot', trail.index),

  get('/positions', 'signed in', positions.index),
  get('/positions/:position', 'signed in', positions.show),

  get('/rounds', 'signed in', rounds.index),
  get('/rounds/intervals', 'look after the depot', roundsIntervals.show),
  post('/rounds/intervals', 'look after the depot', roundsIntervals.update),
  get('/positions/:position/rounds/new', 'attend faults', rounds.add),
  post('/positions/:position/rounds', 'attend faults', rounds.create),
  get('/rounds/:visit', 'signed in', rounds.show),
  get('/rounds/:visit/next', 'signed in', rounds.next),
  get('/rounds/:visit/checks/:tree/:check', 'attend faults', roundsChecks.show),
  post('/rounds/:visit/findings', 'attend faults', roundsChecks.create),
  get('/rounds/:visit/findings/:finding/correction', 'attend faults', roundsChecks.correct),
  get('/rounds/:visit/end', 'attend faults', roundsEnd.show),
  post('/rounds/:visit/end', 'attend faults', roundsEnd.create),

  get('/instruments', 'attend faults', instruments.index),
  post('/instruments/chosen', 'attend faults', instruments.choose),
  get('/instruments/register', 'look after the depot', register.index),
  post('/instruments/register', 'look after the depot', register.create),
  get('/instruments/register/:instrument', 'look after the depot', register.show),
  post('/instruments/register/:instrument/calibrations', 'look after the depot', register.recalibrate),
  post('/instruments/register/:instrument/functions', 'look after the depot', register.describe),
  post('/instruments/register/:instrument/retirement', 'look after the depot', register.retire),

  get('/calculators', 'signed in', calculators.index),
  get('/calculators/:calculator', 'signed in', calculators.show),

  get('/faults', 'signed in', faults.index),
  get('/faults/new', 'report faults', faults.add),
  post('/faults', 'report faults', faults.create),
  get('/faults/:fault', 'signed in', faults.show),
  get('/faults/:fault/next', 'signed in', faults.next),
  get('/faults/:fault/record', 'signed in', record.show),
  get('/faults/:fault/status', 'signed in', status.show),
  get('/faults/:fault/likely', 'signed in', likely.show),
  get('/faults/:fault/card', 'signed in', likely.card),
  get('/faults/:fault/attendances/new', 'attend faults', attendances.add),
  post('/faults/:fault/attendances', 'attend faults', attendances.create),
  get('/faults/:fault/resume', 'attend faults', attendances.resume),
  get('/faults/:fault/hold', 'signed in', hold.show),
  get('/faults/:fault/identity', 'attend faults', identity.show),
  post('/faults/:fault/identity', 'attend faults', identity.create),
  get('/faults/:fault/checks/:tree/:check', 'signed in', checks.show),
  post('/faults/:fault/findings', 'attend faults', findings.create),
  get('/faults/:fault/findings/:finding/correction', 'attend faults', corrections.add),
  post('/faults/:fault/photos', 'attend faults', photos.create),
  get('/photos/:photo', 'signed in', photos.show),
  get('/faults/:fault/departures/new', 'attend faults', departures.add),
  post('/faults/:fault/departures', 'attend faults', departures.create),
  get('/faults/:fault/choice', 'attend faults', departures.choice),
  get('/faults/:fault/cause', 'signed in', cause.show),
  get('/faults/:fault/end', 'signed in', cause.showEnd),
  get('/faults/:fault/repairs/new', 'attend faults', repairs.add),
  post('/faults/:fault/repairs', 'attend faults', repairs.create),
  get('/faults/:fault/put-back', 'signed in', putBack.show),
  post('/faults/:fault/restorations', 'attend faults', putBack.restore),
  post('/faults/:fault/disturbances', 'attend faults', putBack.addItem),
  get('/faults/:fault/proof', 'signed in', proofs.index),
  get('/faults/:fault/proof/:tree/:check', 'attend faults', proofs.show),
  post('/faults/:fault/proof/:tree/:check', 'attend faults', proofs.create),
  post('/faults/:fault/proof/symptom', 'attend faults', proofs.createSymptom),
  post('/faults/:fault/rejections', 'attend faults', proofs.reject),
  get('/faults/:fault/handovers/new', 'attend faults', handovers.add),
  post('/faults/:fault/handovers', 'attend faults', handovers.create),
  get('/faults/:fault/handovers/:handover', 'signed in', handovers.show),
  post('/faults/:fault/handovers/:handover/confirmations', 'attend faults', handovers.confirm),
  post('/faults/:fault/handovers/:handover/acceptance', 'attend faults', handovers.accept),
  get('/faults/:fault/closure', 'attend faults', closures.add),
  post('/faults/:fault/closure/review', 'attend faults', closures.review),
  post('/faults/:fault/closure', 'attend faults', closures.create),

  get('/sites', 'signed in', sites.index),
  get('/sites/:site', 'signed in', sites.show),
  get('/quality', 'look after the depot', quality.index),
  get('/export', 'look after the depot', exporting.index),
  get('/export/:file', 'look after the depot', exporting.show),
  get('/import', 'look after the depot', importing.index),
  post('/import', 'look after the depot', importing.create),
  get('/import/:import', 'look after the depot', importing.show),
  get('/import/files/:file', 'look after the depot', importColumns.show),
  post('/import/files/:file/reading', 'look after the depot', importColumns.reread),
  post('/import/files/:file/columns', 'look after the depot', importColumns.update),
  get('/import/files/:file/words', 'look after the depot', importWords.show),
  get('/import/files/:file/check', 'look after the depot', importCheck.show),
  post('/import/files/:file/check', 'look after the depot', importWords.update),
  post('/import/files/:file/load', 'look after the depot', importCheck.create),
  get('/open', 'look after the depot', openFaults.index),
  post('/faults/:fault/notes', 'look after the depot', openFaults.addNote),
  get('/faults/:fault/release', 'release evidence', openFaults.showRelease),
  post('/faults/:fault/release', 'release evidence', openFaults.createRelease),

  get('/sources', 'signed in', sources.show),
  get('/review', 'look after the depot', review.index),
  get('/review/causes', 'look after the depot', review.causes),
  get('/review/when', 'look after the depot', review.when),
  get('/review/units', 'look after the depot', review.units),
  get('/review/units/:unit', 'look after the depot', reviewUnit.show),
  post('/review/units/:unit/visits', 'look after the depot', reviewUnit.addVisit),
  get('/review/trends', 'look after the depot', review.trends),
  get('/review/unseen', 'look after the depot', review.unseen),
  get('/review/ranking', 'look after the depot', reviewRanking.show),
  get('/review/rules', 'look after the depot', reviewRules.show),
  post('/review/rules', 'look after the depot', reviewRules.update),
  get('/review/positions/:position', 'look after the depot', reviewPosition.show),
  get('/review/positions/:position/case', 'look after the depot', reviewCase.show),
  get('/review/positions/:position/case-file', 'look after the depot', reviewCase.save),
  get('/review/positions/:position/reviews/new', 'look after the depot', reviewActions.add),
  post('/review/positions/:position/reviews', 'look after the depot', reviewActions.create),
  get('/review/reviews', 'look after the depot', reviewActions.index),
  get('/review/reviews/:review', 'look after the depot', reviewActions.show),
  post('/review/reviews/:review/entries', 'look after the depot', reviewActions.update),
  get('/review/faults/:fault/delay', 'look after the depot', reviewDelay.show),
  post('/review/faults/:fault/delay', 'look after the depot', reviewDelay.create),

  ...authorRoutes,
  post('/faults/:fault/reports', 'attend faults', reports.create),
  post('/report-answers/:answer/receipt', 'attend faults', reports.readAnswer),
]

/** A router for each first part of an address, so that few addresses are tried with each request. */
export function routes(deps: Deps): RequestHandler {
  const parts = new Map<string, Router>()
  for (const { method, path, may, handler } of siteMap) {
    const router = parts.get(firstPart(path)) ?? express.Router()
    const handle = inPerson(handler(deps))
    router[method](path, mustHave(deps, may), may === 'attend faults' ? together(deps, handle) : handle)
    parts.set(firstPart(path), router)
  }
  return (req, res, next) => {
    const router = parts.get(firstPart(req.path))
    if (router) router(req, res, next)
    else next()
  }
}

/** 'faults' of '/faults/:fault/next'; addresses are read in any case. */
function firstPart(address: string): string {
  const end = address.indexOf('/', 1)
  return address.slice(1, end < 0 ? undefined : end).toLowerCase()
}

/** What a handler writes is on record as the visitor's. */
function inPerson(handle: RequestHandler): RequestHandler {
  if (isAsync(handle))
    return (req, res, next) => actAsThroughout(actorOf(res), async () => handle(req, res, next))
  return (req, res, next) => {
    const waits: unknown = actAs(actorOf(res), () => handle(req, res, next))
    if (waits instanceof Promise)
      throw new Error('A handler that waits must be async: who wrote would be lost')
  }
}

const isAsync = (handle: RequestHandler) => handle.constructor.name === 'AsyncFunction'

/** Technicians record all at once, and do nothing with it but answer. */
function together({ storage: { commits } }: Deps, handle: RequestHandler): RequestHandler {
  return (req, res, next) => commits.share(() => handle(req, res, next))
}
