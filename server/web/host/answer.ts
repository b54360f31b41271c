import type { Deps } from '../deps.ts'
import type { FormErrors } from './read-form.ts'
import type { Request } from './request.ts'

/** What a handler gives; each host draws it in its own way. */
export type Answer = Page | Redirect | Json | Text | Picture | Stream

interface Common {
  status: number
  cookies: Cookie[]
  headers: Record<string, string>
}

/** A view with what it shows. */
export interface Page extends Common {
  kind: 'page'
  view: string
  locals: PageLocals
}

export interface Redirect extends Common {
  kind: 'redirect'
  to: string
}

/** `html`: a view drawn without head and foot, which goes with the data under that name. */
export interface Json extends Common {
  kind: 'json'
  data: Record<string, unknown>
  html: { view: string; locals: PageLocals } | null
}

/** A file to save, made whole. */
export interface Text extends Common {
  kind: 'text'
  type: string
  text: string
}

/** A picture taken on site, by the hash of its bytes. */
export interface Picture extends Common {
  kind: 'picture'
  type: string
  sha256: string
}

/** A file to save, written out as it is read. */
export interface Stream extends Common {
  kind: 'stream'
  type: string
  parts: AsyncIterable<string | Uint8Array>
}

/** `value` null takes the cookie away. */
export interface Cookie {
  name: string
  value: string | null
  maxAgeMs?: number
}

export type PageLocals = Record<string, unknown> & {
  title?: string
  back?: { href: string; text: string }
  desk?: boolean
}

const plain: Common = { status: 200, cookies: [], headers: {} }

/** A page; `more` may give another status, cookies or headers. */
export function page(view: string, locals: PageLocals, more: Partial<Common> = {}): Page {
  return { kind: 'page', view, locals, ...plain, ...more }
}

/** Shows a form again with what was typed and which fields are in error. */
export function formAgain(
  view: string,
  locals: PageLocals & { values: Record<string, unknown>; errors: FormErrors },
): Page {
  return page(view, locals, { status: 400 })
}

/** On to another address of this program, asked for with GET. */
export function redirect(to: string, more: Partial<Common> = {}): Redirect {
  return { kind: 'redirect', to, ...plain, status: 303, ...more }
}

export function json(data: Record<string, unknown>, html: Json['html'] = null): Json {
  return { kind: 'json', data, html, ...plain }
}

export function picture(type: string, sha256: string, headers: Record<string, string>): Picture {
  return { kind: 'picture', type, sha256, ...plain, headers }
}

/** A file to save under that name. */
export function download(name: string, type: string, text: string): Text {
  return { kind: 'text', type, text, ...plain, headers: attachment(name) }
}

/** A file to save under that name, written out as it is read. */
export function streamed(name: string, type: string, parts: AsyncIterable<string | Uint8Array>): Stream {
  return { kind: 'stream', type, parts, ...plain, headers: attachment(name) }
}

/** So that a browser saves it under that name, in plain letters. */
export function attachment(name: string): Record<string, string> {
  const [stem = '', ending = ''] = name.replace(/[^\w.-]/g, '').split(/(\.\w{1,8}$)/)
  // A stored name may be part of it, and nobody reads a header of any length.
  return { 'Content-Disposition': `attachment; filename="${stem.slice(0, 100)}${ending}"` }
}

/**
 * Ends a form that was written: a page goes on to `next`, and the tablet is told which write was recorded, so that it
 * may forget its draft. A tablet that sends by script gets the same as JSON.
 */
export function redirectAfterWrite(deps: Deps, req: Request, formId: string, next: string): Redirect | Json {
  const value = deps.times.clock(deps.clock().toISOString())
  const sent: Cookie = { name: 'sent', value, maxAgeMs: 12 * 3600_000 }
  if (req.wantsJson) return { ...json({ kept: formId, next }), cookies: [sent] }
  return redirect(next, { cookies: [sent, { name: 'kept', value: formId, maxAgeMs: 60_000 }] })
}
