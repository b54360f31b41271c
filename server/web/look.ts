import type { Request, Response } from 'express'
import { z } from 'zod'
import type { Deps } from './deps.ts'
import { renderPage } from './host/page.ts'
import { readForm } from './host/read-form.ts'
import { cookieName, cookieShape, localAddress } from './host/visitor.ts'

const looks = z.object({ look: z.enum(['day', 'night', 'auto']), return: z.string().max(500).optional() })

/** The one page that shows how the pages are drawn. */
export const show = (_deps: Deps) => (_req: Request, res: Response) => {
  renderPage(res, 'look', { title: 'How these pages are drawn' })
}

/** Day or night look, chosen on any page and kept in a cookie for a year. */
export const choose = (deps: Deps) => (req: Request, res: Response) => {
  const form = readForm(looks, req)
  if (form.ok) {
    const shape = { ...cookieShape(deps), maxAge: 365 * 24 * 3600 * 1000 }
    res.cookie(cookieName(deps, 'look'), form.data.look, shape)
  }
  res.redirect(303, localAddress(form.ok ? form.data.return : undefined))
}
