import { AppError } from '../../errors.ts'
import type { Late } from '../../storage/engine/acting.ts'
import type { Person, Tablet } from '../../storage/storage.ts'
import type { Deps } from '../deps.ts'

/** What a handler sees of a request, the same in every host. */
export interface Request {
  /** For the log and the page of trouble. */
  id: string
  method: string
  /** Without the query. */
  path: string
  /** As asked, with its query. */
  address: string
  params: Readonly<Record<string, string>>
  query: Readonly<Record<string, unknown>>
  /** The fields of a form; empty where there is none. */
  body: Readonly<Record<string, unknown>>
  /** By our own names for them, without what a secure host puts before. */
  cookies: Readonly<Record<string, string | undefined>>
  /** A script that sends a form takes JSON; a browser takes a page. */
  wantsJson: boolean
  /** By which the program was reached: "https://fourfoot.example". */
  origin: string
  /** Where it came from, for slowing down guesses. */
  ip: string
  visitor: Visitor
  /** When it was done, of what arrives later; UTC ISO text. */
  doneAt?: string
  /** Of what arrived late: when, and what was not on the tablet. */
  late?: Late
  /** Who is there now, after a wait, where that is no matter of a session's cookie. */
  stillThere?: () => Person | null
  /** Reads a form with a file. Throws 'too large' and 'invalid'. */
  upload(limits: UploadLimits): Promise<Upload>
}

/** Who is there, and what the head and foot of their pages say. */
export interface Visitor {
  person: Person | null
  /** The enrolled tablet the page is on. */
  tablet: Tablet | null
  look: 'day' | 'night' | 'auto'
  warnings: string[]
}

export interface UploadLimits {
  /** The file's field. */
  field: string
  bytes: number
  /** What is said of a larger file. */
  tooLarge: string
}

export interface Upload {
  fields: Record<string, string>
  /** The last part of its name, without what does not print; '' when no file was chosen. */
  name: string
  /** Null when the form came without a file. */
  file: Uint8Array | null
}

/** Who is signed in; only behind a route that asks for it. */
export function person(req: Request): Person {
  const who = req.visitor.person
  if (!who) throw new AppError('signed out', 'Sign in first.')
  return who
}

/** Whether a PIN works here. Everybody's browser is enrolled in the demo, where nothing is real. */
export function isEnrolled(deps: Deps, { visitor }: Request): boolean {
  return visitor.tablet !== null || deps.demoNotice !== null
}

/** Where a form asked to return to, if that is an address of this program; else the first page. */
export function localAddress(address: unknown): string {
  return typeof address === 'string' && isOwnAddress(address) ? address : '/'
}

/** An address of this program: a path, with nothing that a browser would read as another host. */
export function isOwnAddress(address: string): boolean {
  return /^\/(?![/\\])[^\s\\]*$/.test(address)
}
