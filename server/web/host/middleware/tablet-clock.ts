import type { RequestHandler } from 'express'
import type { Tablet } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'

const WORTH_MS = 2000
const LIKELY_MS = 10 * 365 * 86_400_000

/**
 * Keeps how far an enrolled tablet's clock is off, whenever it tells its time and that has changed. What is recorded
 * bears our time; the tablet's own tells how far to trust a time that was typed.
 */
export function tabletClock({ clock, storage }: Deps): RequestHandler {
  const reported = new Map<string, number>()
  return (req, res, next) => {
    const here: Tablet | null = res.locals.visitor.tablet
    const said =
      here && /^\d{12,14}$/.test(req.get('X-Tablet-Clock') ?? '') ? Number(req.get('X-Tablet-Clock')) : null
    if (here && said !== null) {
      const ahead = said - clock().getTime()
      const changed = Math.abs(ahead - (reported.get(here.id) ?? Number.POSITIVE_INFINITY)) > WORTH_MS
      if (changed && Math.abs(ahead) < LIKELY_MS) {
        storage.tablets.tellTime(here.id, ahead)
        reported.set(here.id, ahead)
      }
    }
    next()
  }
}
