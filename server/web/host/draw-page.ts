import { newId } from '../../ids.ts'
import { duration } from '../../times.ts'
import { capitalize } from '../../words.ts'
import type { Deps } from '../deps.ts'
import { navigation } from '../navigation.ts'
import { causeTitle } from '../titles.ts'
import type { PageLocals } from './answer.ts'
import type { Views } from './print-views.ts'
import type { FormErrors } from './read-form.ts'
import { isEnrolled, type Request } from './request.ts'

/** Addresses of the sheets and the script, with a hash of their content, so that a browser may keep them for ever. */
export interface AssetAddresses {
  app: string
  desk: string
  script: string
}

/** How it stands on a tablet without signal: times of the clock, in words. */
export interface TabletState {
  /** When something was last saved on it. */
  saved: string | null
  unsent: number
  /** Since when there is no signal; null while there is. */
  lost: string | null
  /** When its copy was made. */
  copied: string
  /** Something has waited for hours. */
  late: boolean
}

export interface PageDrawing {
  /**
   * A page as HTML, with what every page needs: `page` and `foot` for the head and foot partials, `errors` and `values`
   * for forms, `newId` for their ids. Throws when the view fails.
   */
  page(req: Request, view: string, locals: PageLocals): string
  /** A view without head and foot. */
  part(req: Request, view: string, locals: PageLocals): string
}

type TellState = () => TabletState | null

/** `tabletState` where a tablet draws. */
export function createPageDrawing(
  deps: Deps,
  views: Views,
  assets: AssetAddresses,
  tabletState: TellState = () => null,
): PageDrawing {
  const edition = editionWords(deps)
  const always = onEveryPage(deps)

  function ofPage(req: Request, locals: PageLocals) {
    const { look } = req.visitor
    const address = req.method === 'GET' ? req.address : '/'
    const errors = (locals.errors ?? {}) as FormErrors
    const errorList = Object.entries(errors).map(([id, text]) => ({ id, text }))
    const page = {
      ...headOf(deps, req),
      look,
      address,
      assets,
      title: locals.title ?? 'Fourfoot',
      error: errorList.length > 0,
      back: locals.back,
      desk: locals.desk ?? false,
      tablet: tabletState(),
      practice: practiceOf(deps, locals),
    }
    const foot = { tablet: page.tablet, look, address, sent: req.cookies.sent, edition: edition() }
    return { errors, errorList, values: locals.values ?? {}, foot, page }
  }

  return {
    page: (req, view, locals) => views(view, always, ofRequest(req), locals, ofPage(req, locals)),
    part: (req, view, locals) => views(view, always, ofRequest(req), locals),
  }
}

/** What the band says on a page of practice; null on all others. */
function practiceOf({ practising }: Deps, { practised }: PageLocals) {
  if (practising) return { world: true, ...practising }
  return practised ? { world: false, result: null, train: null } : null
}

/** What every view may use. */
function onEveryPage(deps: Deps) {
  return {
    times: deps.times,
    duration,
    sentence: capitalize,
    served: () => served(deps),
    causeTitle: (key: string) => causeTitle(deps, key),
    newId,
  }
}

/** What every view may use of the request. */
function ofRequest(req: Request) {
  const { person, tablet } = req.visitor
  return { requestId: req.id, person, tablet }
}

/** What the head says of the visitor. */
function headOf(deps: Deps, req: Request) {
  const { person, warnings } = req.visitor
  const { kept } = req.cookies
  const head = { warnings, kept: kept && /^[0-9a-f-]{36}$/.test(kept) ? kept : undefined }
  if (!person) return head
  return {
    ...head,
    person,
    nav: person.given ? [] : navigation(person.role, req.path, deps.practising !== undefined),
    idle: isEnrolled(deps, req) ? deps.config.sessionIdleMinutes : undefined,
  }
}

/** The time by the server's clock, to hold a tablet's against and to be read. */
function served({ clock, times }: Deps): { ms: number; words: string } {
  const now = clock()
  return { ms: now.getTime(), words: times.clock(now.toISOString()) }
}

/** The words are the same on every page until another edition is in use. */
function editionWords(deps: Deps): () => string {
  let named: { id: string; words: string } | null = null
  return () => {
    const { id, publishedAt } = deps.library.current()
    if (named?.id !== id)
      named = { id, words: `Fault trees: edition ${id.slice(0, 8)} of ${deps.times.day(publishedAt)}` }
    return named.words
  }
}
