import { parseCookie } from 'cookie'
import type { Request, Response } from 'express'
import { z } from 'zod'
import { calibration } from '../../../measurement/instruments/instrument.ts'
import type { KeptInstrument } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { renderPage } from '../../host/page.ts'
import { readForm } from '../../host/read-form.ts'
import { cookieShape, localAddress } from '../../host/visitor.ts'
import { instrumentChoices } from './instrument-choices.ts'

const cookieName = 'instrument'
const choosing = z.object({ instrument: z.string().max(64), return: z.string().max(500).optional() })

/** Instruments in use, to choose the one in hand; `instrument=none` forgets it. */
export const index = (deps: Deps) => (req: Request, res: Response) => {
  const now = deps.clock().toISOString()
  renderPage(res, 'technician/instruments/instruments', {
    title: 'Which instrument?',
    returnTo: localAddress(req.query.return),
    chosen: chosenInstrument(deps, req)?.id ?? null,
    instruments: instrumentChoices(
      deps.times,
      deps.storage.instruments
        .list()
        .filter(one => one.active)
        .map(one => ({ ...one, calibration: calibration(one, now) })),
    ),
  })
}

/** Remembers the instrument on this tablet for the shift. */
export const choose = (deps: Deps) => (req: Request, res: Response) => {
  const form = readForm(choosing, req)
  const known = form.ok && deps.storage.instruments.find(form.data.instrument)
  if (known) {
    res.cookie(cookieName, known.id, { ...cookieShape(deps), maxAge: deps.config.sessionHours * 3600_000 })
  } else res.clearCookie(cookieName, cookieShape(deps))
  res.redirect(303, localAddress(req.body?.return))
}

/** The instrument in hand, or null: readings are then judged by the simple rule, and the page says so. */
export function chosenInstrument(deps: Deps, req: Request): KeptInstrument | null {
  const id = parseCookie(req.headers.cookie ?? '')[cookieName]
  const found = id ? deps.storage.instruments.find(id) : null
  return found?.active ? found : null
}
