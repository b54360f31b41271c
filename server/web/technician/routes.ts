import { get, post, type Route } from '../host/route.ts'
import * as actions from './actions/actions.ts'
import * as attendances from './attend/attendances.ts'
import * as handovers from './attend/handovers.ts'
import * as hold from './attend/hold.ts'
import * as identity from './attend/identity.ts'
import * as status from './attend/status.ts'
import * as calculators from './calculators/calculators.ts'
import * as checks from './check/checks.ts'
import * as corrections from './check/corrections.ts'
import * as findings from './check/findings.ts'
import * as reports from './check/reports.ts'
import * as closures from './close/closures.ts'
import * as record from './close/record.ts'
import * as instrumentsForCheck from './instruments/for-check.ts'
import * as instruments from './instruments/instruments.ts'
import * as departures from './likely/departures.ts'
import * as likely from './likely/likely.ts'
import * as photos from './photos/photos.ts'
import * as proofs from './prove/proofs.ts'
import * as putBack from './prove/put-back.ts'
import * as cause from './repair/cause.ts'
import * as repairs from './repair/repairs.ts'
import * as faults from './report/faults.ts'
import * as positions from './report/positions.ts'
import * as rounds from './rounds/rounds.ts'
import * as roundsChecks from './rounds/rounds-checks.ts'
import * as roundsEnd from './rounds/rounds-end.ts'

/** What a technician does, by the life of a fault. */
export const technicianRoutes: Route[] = [
  get('/positions', 'signed in', positions.index),
  get('/positions/:position', 'signed in', positions.show),
  get('/rounds', 'signed in', rounds.index),
  get('/positions/:position/rounds/new', 'attend faults', rounds.add),
  post('/positions/:position/rounds', 'attend faults', rounds.create),
  get('/rounds/:visit', 'signed in', rounds.show),
  get('/rounds/:visit/next', 'signed in', rounds.next),
  get('/rounds/:visit/checks/:tree/:check', 'attend faults', roundsChecks.show),
  post('/rounds/:visit/findings', 'attend faults', roundsChecks.create),
  get('/rounds/:visit/findings/:finding/correction', 'attend faults', roundsChecks.correct),
  get('/rounds/:visit/end', 'attend faults', roundsEnd.show),
  post('/rounds/:visit/end', 'attend faults', roundsEnd.create),
  post('/instruments/chosen', 'attend faults', instruments.choose),
  get('/faults/:fault/instrument/:tree/:check', 'attend faults', instrumentsForCheck.showAtFault),
  get('/rounds/:visit/instrument/:tree/:check', 'attend faults', instrumentsForCheck.showOnRound),
  get('/calculators', 'signed in', calculators.index),
  get('/calculators/:calculator', 'signed in', calculators.show),
  get('/actions/:review', 'carry out actions', actions.show),
  post('/actions/:review/done', 'carry out actions', actions.create),
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
  post('/faults/:fault/handovers/:handover/withdrawal', 'attend faults', handovers.withdraw),
  post('/faults/:fault/handovers/:handover/confirmations', 'attend faults', handovers.confirm),
  post('/faults/:fault/handovers/:handover/acceptance', 'attend faults', handovers.accept),
  get('/faults/:fault/closure', 'attend faults', closures.add),
  post('/faults/:fault/closure/review', 'attend faults', closures.review),
  post('/faults/:fault/closure', 'attend faults', closures.create),
  post('/faults/:fault/reports', 'attend faults', reports.create),
  post('/report-answers/:answer/receipt', 'attend faults', reports.readAnswer),
]
