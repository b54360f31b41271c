import type { RequestHandler } from 'express'
import type { Deps } from '../../deps.ts'
import { missingSteps } from '../../engineer/first-steps/steps.ts'

/**
 * Is the database answering and its file in place, which edition and schema are in use, how backups stand, which first
 * steps are still to be done. 503 when the
 * database does not answer or can't record. Anybody may ask, so what went wrong is for the log and the engineers' pages.
 */
export function healthz(deps: Deps): RequestHandler {
  const { schemaVersion, library, log } = deps
  return (_req, res) => {
    const { id: edition } = library.current()
    const backup = backupOf(deps)
    try {
      const schema = schemaVersion()
      const isMoved = (deps.databaseTrouble?.() ?? null) !== null
      if (isMoved) res.status(503).json({ ok: false, database: 'not recording', schema, edition, backup })
      else res.json({ ok: true, database: 'answering', schema, edition, backup, toDo: missingSteps(deps) })
    } catch (error) {
      log.error({ err: error, requestId: res.locals.requestId }, 'the database does not answer')
      res.status(503).json({ ok: false, database: 'not answering', edition, backup })
    }
  }
}

function backupOf({ backups }: Deps): { newestAt: string | null; failed: boolean } | undefined {
  const state = backups?.()
  return state ? { newestAt: state.newestAt, failed: state.trouble !== null } : undefined
}
