import { authorRoutes } from './author/routes.ts'
import { engineerRoutes } from './engineer/routes.ts'
import { home } from './home.ts'
import { get, post, type Route } from './host/route.ts'
import * as look from './look.ts'
import { peopleRoutes } from './people/routes.ts'
import { practiceRoutes } from './practice/routes.ts'
import { tabletRoutes } from './tablet/routes.ts'
import { technicianRoutes } from './technician/routes.ts'

export type { Handler, Route } from './host/route.ts'

/** Every address of the program, and who may go there. */
export const siteMap: Route[] = [
  get('/', 'anyone', home),
  get('/look', 'anyone', look.show),
  post('/look', 'anyone', look.choose),
  ...peopleRoutes,
  ...tabletRoutes,
  // Before the technician's: /rounds/intervals is no round.
  ...engineerRoutes,
  ...technicianRoutes,
  ...authorRoutes,
  ...practiceRoutes,
]
