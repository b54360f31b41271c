import { randomUUID } from 'node:crypto'
import type { Response } from 'express'
import type { FormErrors } from './read-form.ts'

type Locals = Record<string, unknown> & {
  title?: string
  back?: { href: string; text: string }
  desk?: boolean
}

/**
 * Renders a page with what every page needs: `page` and `foot` for the head and foot partials, `errors` and `values`
 * for forms, `newId` for their ids. `res.locals.frame` was filled by the visitor's middleware; Express adds `res.locals`
 * itself.
 */
export function renderPage(res: Response, view: string, locals: Locals): void {
  const { frame, foot } = res.locals
  const errors = (locals.errors ?? {}) as FormErrors
  res.setHeader('Cache-Control', 'no-store')
  res.render(view, {
    newId: randomUUID,
    ...locals,
    errors,
    errorList: Object.entries(errors).map(([id, text]) => ({ id, text })),
    values: locals.values ?? {},
    foot,
    page: {
      ...frame,
      title: locals.title ?? 'Fourfoot',
      error: Object.keys(errors).length > 0,
      back: locals.back,
      desk: locals.desk ?? false,
    },
  })
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
