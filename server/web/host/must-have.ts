import type { Request, RequestHandler, Response } from 'express'
import { may, type Right } from '../../auth/roles.ts'
import { AppError } from '../../errors.ts'
import type { Given } from '../../storage/storage.ts'
import type { Deps } from '../deps.ts'
import { askToChoose, choosingOwn } from '../people/choose-own.ts'
import { typedFields } from '../people/typed-fields.ts'
import { keepForm } from './kept-form.ts'
import { renderPage } from './page.ts'
import { visitor } from './visitor.ts'

/**
 * Lets on who has the right. Before anything else a PIN or password that somebody else chose is changed. A form that
 * arrives signed out, or before that, is kept and offered again afterwards.
 */
export function mustHave(deps: Deps, right: 'anyone' | 'signed in' | Right): RequestHandler {
  return (req, res, next) => {
    if (right === 'anyone') return next()
    const who = visitor(res)
    if (!who) return askToSignIn(req, res)
    if (who.given && req.route?.path !== choosingOwn) return sendToChoose(deps, req, res, who.given)
    if (right === 'signed in' || may(who.role, right)) return next()
    throw new AppError(
      'forbidden',
      `This is not for the role “${who.role}”. Change user if you have another role here.`,
    )
  }
}

function sendToChoose(deps: Deps, req: Request, res: Response, given: Given): void {
  if (req.method === 'GET') {
    res.redirect(303, `${choosingOwn}?return=${encodeURIComponent(req.originalUrl)}`)
    return
  }
  res.status(403)
  askToChoose(deps, res, given, { kept: keepForm(req) })
}

function askToSignIn(req: Request, res: Response): void {
  if (req.method === 'GET') {
    res.redirect(303, `/sign-in?return=${encodeURIComponent(req.originalUrl)}`)
    return
  }
  res.status(401)
  const kept = keepForm(req)
  renderPage(res, 'people/sign-in-again', { title: 'Sign in to send this', kept, typed: typedFields(kept) })
}
