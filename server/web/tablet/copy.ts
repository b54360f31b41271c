// The copy of the depot that a tablet carries into a shift: whole, or none.

import type { Config } from '../../config.ts'
import { AppError } from '../../errors.ts'
import type { Edition } from '../../library.ts'
import type { CopiedTable } from '../../storage/exchange/tablet-copy.ts'
import type { Person, Tablet } from '../../storage/storage.ts'
import type { Deps } from '../deps.ts'
import { json, type Text } from '../host/answer.ts'
import { isEnrolled, person, type Request } from '../host/request.ts'
import { instrumentCookie } from '../technician/instruments/chosen.ts'
import { toText } from './with-maps.ts'

/** Of the depot's settings, those that pages or judgements hang on. */
export type CarriedSettings = Pick<
  Config,
  'timeZone' | 'repeatWindowDays' | 'breakMinutes' | 'sessionIdleMinutes' | 'sessionHours'
> &
  /** Not in a copy that an older program gave. */
  Partial<Pick<Config, 'protectionPhrases' | 'isolationPhrases'>>

export interface Copy {
  /** How many migrations its tables have had. */
  schema: number
  /** Where the depot's trail stood: the same stamp is the same content. */
  stamp: string
  madeAt: string
  /** Where the depot is, as this tablet asks for it. */
  origin: string
  person: Person
  tablet: Tablet | null
  settings: CarriedSettings
  demoNotice: string | null
  /** What this browser chose: how pages look, which instrument is in hand. */
  cookies: Record<string, string>
  /** The edition in use is the first; the others are those of open faults. */
  editions: Edition[]
  tables: CopiedTable[]
}

/** So many findings and readings of the past fit a tablet; of a larger depot it would have to carry a part. */
const mostRows = 60_000

/** Why this depot can't be carried on this tablet, as a sentence; null when it can. */
export function cannotCarry(deps: Deps, req: Request): string | null {
  if (!isEnrolled(deps, req)) return 'This is not one of the depot’s enrolled tablets.'
  if (deps.storage.tabletCopies.size() > mostRows)
    return 'This depot’s records are too many to be carried whole, and a part is not offered yet.'
  return null
}

/** The whole copy; for a tablet that has it already (`?stamp=`), only that it is the same. */
export const show = (deps: Deps) => (req: Request) => {
  const why = cannotCarry(deps, req)
  if (why) throw new AppError('forbidden', why)
  const stamp = stampOf(deps)
  if (req.query.stamp === stamp) return json({ same: true, person: person(req).id })
  return inText(toText(copyOf(deps, req, stamp)))
}

function inText(text: string): Text {
  return {
    kind: 'text',
    type: 'application/json; charset=utf-8',
    text,
    status: 200,
    cookies: [],
    headers: {},
  }
}

function stampOf(deps: Deps): string {
  return `${deps.storage.trail.head()?.hash ?? ''} ${deps.library.current().id}`
}

function copyOf(deps: Deps, req: Request, stamp: string): Copy {
  const { config, storage } = deps
  const { timeZone, repeatWindowDays, breakMinutes, sessionIdleMinutes, sessionHours } = config
  const { protectionPhrases, isolationPhrases } = config
  return {
    schema: deps.schemaVersion(),
    stamp,
    madeAt: deps.clock().toISOString(),
    origin: req.origin,
    person: { ...person(req), pinHash: '', passwordHash: null },
    tablet: req.visitor.tablet,
    settings: {
      ...{ timeZone, repeatWindowDays, breakMinutes, sessionIdleMinutes, sessionHours },
      ...{ protectionPhrases, isolationPhrases },
    },
    demoNotice: deps.demoNotice,
    cookies: chosenHere(req),
    editions: carriedEditions(deps),
    tables: storage.tabletCopies.read(),
  }
}

function chosenHere({ cookies }: Request): Record<string, string> {
  return Object.fromEntries(
    ['look', instrumentCookie].flatMap(name => (cookies[name] ? [[name, cookies[name]]] : [])),
  )
}

function carriedEditions({ library, storage }: Deps): Edition[] {
  const current = library.current()
  const ids = new Set(storage.faults.listOpen().map(({ id }) => storage.faults.get(id).fault.editionId))
  ids.delete(current.id)
  return [current, ...[...ids].flatMap(id => library.edition(id) ?? [])]
}
