import { get, post, type Route } from '../host/route.ts'
import * as acts from './acts.ts'
import * as contact from './contact.ts'
import * as copy from './copy.ts'
import * as rescue from './rescue.ts'
import * as shift from './shift.ts'

/** A shift without signal: what a tablet carries, and what it sends afterwards. */
export const tabletRoutes: Route[] = [
  get('/tablet', 'attend faults', shift.show),
  post('/tablet/shift', 'attend faults', shift.start),
  get('/tablet/copy', 'attend faults', copy.show),
  // Whose act it is, the shift's token says: the person may have signed out meanwhile.
  post('/tablet/acts', 'anyone', acts.receive),
  post('/tablet/contact', 'anyone', contact.call),
  get('/tablet/rescue', 'look after the depot', rescue.show),
  post('/tablet/rescue', 'look after the depot', rescue.create),
]
