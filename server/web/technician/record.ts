import type { Request, Response } from 'express'
import { narrate } from '../../walk/narrate.ts'
import type { Deps } from '../deps.ts'
import { renderPage } from '../page.ts'
import { readFault } from './fault-in-hand.ts'
import { placeInWalk } from './place-in-walk.ts'

/** The record of the fault on one or two A4 pages; readable by everyone, at any time. */
export const show = (deps: Deps) => (req: Request, res: Response) => {
  const fault = readFault(deps, req, res)
  renderPage(res, 'technician/record', {
    title: `Record: ${fault.position.siteName}, ${fault.position.name}`,
    fault,
    place: placeInWalk(fault),
    rows: narrate(fault.knowledge, fault.record),
    notes: deps.storage.engineerNotes.listByFault(fault.record.fault.id),
    printedAt: deps.clock().toISOString(),
  })
}
