// Which of the technician's addresses a tablet answers where there is no signal, and why it can't answer the others.

import { redirect } from '../host/answer.ts'
import { get, type Route } from '../host/route.ts'
import { technicianRoutes } from '../technician/routes.ts'

/** Why an address needs signal, by its path in the site map. */
export const needsSignal: Record<string, string> = {
  '/photos/:photo': 'Pictures are kept at the depot. This one can be seen when there is signal.',
  '/faults/:fault/photos':
    'A picture is sent when there is signal. Keep it in the tablet’s own camera until then.',
}

/** The site map of a tablet. */
export const carriedRoutes: Route[] = [
  get('/', 'signed in', () => () => redirect('/faults')),
  ...technicianRoutes.filter(route => !(route.path in needsSignal)),
]
