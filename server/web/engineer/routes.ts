import { get, post, type Route } from '../host/route.ts'
import * as importing from './bring-in/import.ts'
import * as importCheck from './bring-in/import-check.ts'
import * as importColumns from './bring-in/import-columns.ts'
import * as importUnderWay from './bring-in/import-under-way.ts'
import * as importWords from './bring-in/import-words.ts'
import * as refusedRows from './bring-in/refused-rows.ts'
import * as openFaults from './faults/open-faults.ts'
import * as quality from './faults/quality.ts'
import * as firstSteps from './first-steps/first-steps.ts'
import * as register from './railway/instruments.ts'
import * as labels from './railway/labels.ts'
import * as roundsIntervals from './railway/rounds-intervals.ts'
import * as sites from './railway/sites.ts'
import * as reviewActions from './review/actions.ts'
import * as reviewCase from './review/case.ts'
import * as reviewDelay from './review/delay.ts'
import * as review from './review/pages.ts'
import * as reviewPosition from './review/position.ts'
import * as reviewRanking from './review/ranking.ts'
import * as reviewRules from './review/rules.ts'
import * as reviewUnit from './review/unit.ts'
import * as exporting from './take-out/export.ts'

/** What the depot’s engineer looks at and after. */
export const engineerRoutes: Route[] = [
  get('/first-steps', 'look after the depot', firstSteps.show),
  post('/first-steps', 'look after the depot', firstSteps.update),
  get('/rounds/intervals', 'look after the depot', roundsIntervals.show),
  post('/rounds/intervals', 'look after the depot', roundsIntervals.update),
  get('/instruments/register', 'look after the depot', register.index),
  post('/instruments/register', 'look after the depot', register.create),
  get('/instruments/register/:instrument', 'look after the depot', register.show),
  post('/instruments/register/:instrument/calibrations', 'look after the depot', register.recalibrate),
  post('/instruments/register/:instrument/functions', 'look after the depot', register.describe),
  post('/instruments/register/:instrument/retirement', 'look after the depot', register.retire),
  get('/positions/labels', 'look after the depot', labels.show),
  get('/sites', 'signed in', sites.index),
  get('/sites/:site', 'signed in', sites.show),
  get('/quality', 'look after the depot', quality.index),
  get('/export', 'look after the depot', exporting.index),
  get('/export/:file', 'look after the depot', exporting.show),
  get('/import', 'look after the depot', importing.index),
  post('/import', 'look after the depot', importing.create),
  get('/import/:import', 'look after the depot', importUnderWay.show),
  post('/import/:import/cancellation', 'look after the depot', importUnderWay.cancel),
  post('/import/:import/undoing', 'look after the depot', importUnderWay.undo),
  get('/import/files/:file', 'look after the depot', importColumns.show),
  post('/import/files/:file/reading', 'look after the depot', importColumns.reread),
  post('/import/files/:file/columns', 'look after the depot', importColumns.update),
  get('/import/files/:file/words', 'look after the depot', importWords.show),
  get('/import/files/:file/check', 'look after the depot', importCheck.show),
  post('/import/files/:file/check', 'look after the depot', importWords.update),
  get('/import/files/:file/refused', 'look after the depot', refusedRows.show),
  post('/import/files/:file/load', 'look after the depot', importCheck.create),
  get('/open', 'look after the depot', openFaults.index),
  post('/faults/:fault/notes', 'look after the depot', openFaults.addNote),
  get('/faults/:fault/release', 'release evidence', openFaults.showRelease),
  post('/faults/:fault/release', 'release evidence', openFaults.createRelease),
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
]
