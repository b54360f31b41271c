import type { Response } from 'express'
import { v7 as newId } from 'uuid'
import { packed, packingFor } from './packing.ts'
import type { FormErrors } from './read-form.ts'
import type { Views } from './view-engine.ts'

type Locals = Record<string, unknown> & {
  title?: string
  back?: { href: string; text: string }
  desk?: boolean
}

/**
 * Renders a page with what every page needs: `page` and `foot` for the head and foot partials, `errors` and `values`
 * for forms, `newId` for their ids. `res.locals.frame` was filled by the visitor's middleware.
 */
export function renderPage(res: Response, view: string, locals: Locals): void {
  const { frame, foot } = res.locals
  const errors = (locals.errors ?? {}) as FormErrors
  const errorList = Object.entries(errors).map(([id, text]) => ({ id, text }))
  const page = {
    title: locals.title ?? 'Fourfoot',
    error: errorList.length > 0,
    back: locals.back,
    desk: locals.desk ?? false,
    ...frame,
  }
  const html = printed(res, view, locals, {
    newId,
    errors,
    errorList,
    values: locals.values ?? {},
    foot,
    page,
  })
  res.setHeader('Cache-Control', 'no-store')
  sendHtml(res, html)
}

/**
 * A view as HTML, with what the middleware found out about the visitor; of two that give a name, the last counts. Throws
 * when the view fails.
 */
export function printed(res: Response, view: string, ...locals: Record<string, unknown>[]): string {
  const { views }: { views?: Views } = res.app.locals
  if (!views) throw new Error('The application has no views')
  return views(view, res.locals, ...locals)
}

function sendHtml(res: Response, html: string): void {
  const bytes = encoded(html)
  const packing = packingFor(res.req)
  res.setHeader('Content-Type', 'text/html; charset=utf-8')
  res.setHeader('Vary', 'Accept-Encoding')
  if (packing === 'identity') send(res, bytes)
  else {
    packed(bytes, packing).then(
      small => send(res.setHeader('Content-Encoding', packing), small),
      () => send(res, bytes),
    )
  }
}

/** Room for a page while it is written as UTF-8: `Buffer.from` goes over the text twice to know its length. */
let room = Buffer.allocUnsafeSlow(64 * 1024)

function encoded(html: string): Buffer {
  const most = html.length * 3
  if (room.length < most) room = Buffer.allocUnsafeSlow(most)
  return Buffer.from(room.subarray(0, room.write(html)))
}

function send(res: Response, bytes: Buffer): void {
  res.setHeader('Content-Length', bytes.length)
  res.end(bytes)
}

/** Shows a form again with what was typed and which fields are in error. */
export function renderErrors(
  res: Response,
  view: string,
  locals: Locals & { values: Record<string, unknown>; errors: FormErrors },
): void {
  res.status(400)
  renderPage(res, view, locals)
}
