import { get, post, type Route } from '../host/route.ts'
import * as chooseOwn from './choose-own.ts'
import * as own from './own.ts'
import * as people from './people.ts'
import * as setup from './setup.ts'
import * as signIn from './sign-in.ts'
import * as signedIn from './signed-in.ts'
import * as tablets from './tablets.ts'
import * as trail from './trail.ts'

/** Signing in, accounts, tablets and the trail. */
export const peopleRoutes: Route[] = [
  get('/sign-in', 'anyone', signIn.show),
  post('/sign-in', 'anyone', signIn.create),
  post('/sign-out', 'anyone', signIn.destroy),
  post('/cover', 'anyone', signIn.cover),
  get('/setup', 'anyone', setup.show),
  post('/setup', 'anyone', setup.create),
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
]
