import type { Request, Response } from 'express'
import type { Deps } from '../deps.ts'
import { renderPage } from '../page.ts'
import { attendancesBefore } from './position-history.ts'

/** Finds a position by name, plate or site. */
export const index = (deps: Deps) => (req: Request, res: Response) => {
  const search = typeof req.query.search === 'string' ? req.query.search.trim().slice(0, 100) : ''
  renderPage(res, 'technician/positions', {
    title: 'Find a position',
    search,
    positions: search ? deps.storage.positions.search(search, 50) : [],
    sites: search ? [] : deps.storage.sites.list({ limit: 200 }),
  })
}

/** The position with its facts, what is fitted, and its whole history. */
export const show = (deps: Deps) => (req: Request, res: Response) => {
  const position = deps.storage.positions.get(String(req.params.position))
  const equipment = deps.library.current().knowledge.equipment.get(position.equipment) ?? null
  renderPage(res, 'technician/position', {
    title: `${position.siteName}: ${position.name}`,
    position,
    equipment,
    history: attendancesBefore(deps, position.id, null),
    faults: deps.storage.faults.listByPosition(position.id, 200),
    fittings: deps.storage.units.historyOfPosition(position.id),
    repeatDays: deps.config.repeatWindowDays,
  })
}
