import express, { type RequestHandler } from 'express'
import { withoutControls } from '../../../plain-words.ts'

/** Fills `req.body` with the fields of a form; what came without a form is a form without fields. */
export function readForms(): RequestHandler {
  const usual = express.urlencoded({ extended: false, limit: '100kb', parameterLimit: 500 })
  // A knowledge file may be as large as one on disk, and a form writes a letter in up to three; one within another, nine.
  const drafts = express.urlencoded({ extended: false, limit: '3mb', parameterLimit: 50 })
  return (req, res, next) => {
    req.body = {}
    if (req.method === 'GET') return next()
    const read = /^\/(drafts|tablet\/acts)(\/|$)/i.test(req.path) ? drafts : usual
    read(req, res, error => {
      if (error) return next(error)
      req.body = cleaned(req.body)
      next()
    })
  }
}

/** Compared with a hash of what was typed when they were chosen, and never stored. */
const secrets = ['pin', 'password', 'now', 'overridePin', 'secret']

/** Whatever becomes of a field, it holds no control characters. */
function cleaned(body: Record<string, unknown>): Record<string, unknown> {
  const fields = Object.entries(body ?? {}).map(([name, value]) => {
    if (secrets.includes(name)) return [name, value]
    return [name, Array.isArray(value) ? value.map(clean) : clean(value)]
  })
  return Object.fromEntries(fields)
}

function clean(value: unknown): unknown {
  return typeof value === 'string' ? withoutControls(value) : value
}
