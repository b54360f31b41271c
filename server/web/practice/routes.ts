import { get, post, type Route } from '../host/route.ts'
import * as drafts from './drafts.ts'
import * as pages from './pages.ts'

/** Where practice begins and is told of; the pages of the exercise itself lie below `worldAddress`. */
export const practiceRoutes: Route[] = [
  get('/practice', 'signed in', pages.index),
  post('/practice', 'signed in', pages.start),
  post('/practice/stop', 'signed in', pages.stop),
  post('/practice/forget', 'signed in', pages.forget),
  get('/practice/causes', 'look after the depot', pages.causes),
  get('/practice/results/:result', 'signed in', pages.result),
  get('/drafts/:draft/practice', 'review knowledge', drafts.show),
  post('/drafts/:draft/practice', 'review knowledge', drafts.start),
]
