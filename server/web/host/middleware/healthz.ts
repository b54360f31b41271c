import type { RequestHandler } from 'express'
import type { Deps } from '../../deps.ts'

/**
 * Is the database answering, which edition and schema are in use, how backups stand. 503 when the database does not
 * answer. Anybody may ask, so what went wrong with a backup is for the log and the engineers' pages.
 */
export function healthz(deps: Deps): RequestHandler {
  const { schemaVersion, library, log } = deps
  return (_req, res) => {
    try {
      const schema = schemaVersion()
      const state = deps.backups?.()
      const backup = state ? { newestAt: state.newestAt, failed: state.trouble !== null } : undefined
      res.json({ ok: true, database: 'answering', schema, edition: library.current().id, backup })
    } catch (error) {
      log.error({ err: error, requestId: res.locals.requestId }, 'the database does not answer')
      res.status(503).json({ ok: false, database: 'not answering', edition: library.current().id })
    }
  }
}
