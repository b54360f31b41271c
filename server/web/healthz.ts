import type { RequestHandler } from 'express'
import type { Deps } from './deps.ts'

/** Is the database answering, which edition is in use, which schema. 503 when the database does not answer. */
export function healthz({ schemaVersion, library, log }: Deps): RequestHandler {
  return (_req, res) => {
    try {
      const schema = schemaVersion()
      res.json({ ok: true, database: 'answering', schema, edition: library.current().id })
    } catch (error) {
      log.error({ err: error, requestId: res.locals.requestId }, 'the database does not answer')
      res.status(503).json({ ok: false, database: 'not answering', edition: library.current().id })
    }
  }
}
