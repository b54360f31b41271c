import type { Request, Response } from 'express'
import type { Deps } from '../../deps.ts'
import { renderPage } from '../../host/page.ts'
import { placeInWalk } from '../check/place-in-walk.ts'
import { nextAddress, readFault } from './fault-in-hand.ts'

/** Evidence hold: leave it as it is, make safe, report. Only an engineer's release lets the walk go on. */
export const show = (deps: Deps) => (req: Request, res: Response) => {
  const fault = readFault(deps, req, res)
  if (fault.stage.kind !== 'held') return res.redirect(303, nextAddress(fault))
  renderPage(res, 'technician/attend/hold', {
    title: 'Stop: leave it as it is',
    fault,
    place: placeInWalk(fault),
    hold: fault.stage.hold,
  })
}
