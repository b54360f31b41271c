import express, { type RequestHandler } from 'express'

/** Fills `req.body` with the fields of a form; what came without a form is a form without fields. */
export function readForms(): RequestHandler {
  const usual = express.urlencoded({ extended: false, limit: '100kb', parameterLimit: 500 })
  // A knowledge file may be as large as one on disk, and a form writes a letter in up to three.
  const drafts = express.urlencoded({ extended: false, limit: '3mb', parameterLimit: 50 })
  return (req, res, next) => {
    req.body = {}
    if (req.method === 'GET') return next()
    const read = /^\/drafts(\/|$)/i.test(req.path) ? drafts : usual
    read(req, res, next)
  }
}
