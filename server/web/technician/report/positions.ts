import { findCheck } from '../../../knowledge/graph.ts'
import type { Deps } from '../../deps.ts'
import { firstStepsWay } from '../../first-steps-way.ts'
import { page } from '../../host/answer.ts'
import { person, type Request } from '../../host/request.ts'
import { wetBeside } from '../check/wet-and-dry.ts'
import { roundsOf } from '../rounds/rounds.ts'
import { dueWords } from '../rounds/rounds-due.ts'
import { faultTable } from './fault-table.ts'
import { attendancesBefore } from './position-history.ts'
import { factRows, roundTable, unitTable, wetAndDryTable } from './position-tables.ts'

/** Finds a position by name, plate or site. */
export const index = (deps: Deps) => (req: Request) => {
  const search = typeof req.query.search === 'string' ? req.query.search.trim().slice(0, 100) : ''
  return page('technician/report/positions', {
    title: 'Find a position',
    search,
    positions: search ? deps.storage.positions.search(search, 50) : [],
    sites: search ? [] : deps.storage.sites.list({ limit: 200 }),
    emptyWay: firstStepsWay(req),
  })
}

/** The position with its facts, what is fitted, and its whole history. */
export const show = (deps: Deps) => (req: Request) => {
  const position = deps.storage.positions.get(String(req.params.position))
  const due = deps.storage.visits.dueAt(position.id)
  const equipment = deps.library.current().knowledge.equipment.get(position.equipment) ?? null
  return page('technician/report/position', {
    title: `${position.siteName}: ${position.name}`,
    position,
    history: attendancesBefore(deps, position.id, null),
    faults: faultTable(deps, deps.storage.faults.listByPosition(position.id, 200), {
      caption: 'Faults at this position',
      where: false,
    }),
    rounds: roundTable(deps.times, deps.storage.visits.listByPosition(position.id, 50)),
    facts: factRows(deps.times, position, equipment, due && { ...due, ...dueWords(deps, due) }),
    units: unitTable(deps.times, deps.storage.units.historyOfPosition(position.id)),
    wetAndDry: wetAndDryTable(deps.times, wetAndDryAt(deps, position.id)),
    due,
    mayBegin: person(req).role === 'technician' && roundsOf(deps, position).length > 0,
  })
}

/** The newest wet reading of each check beside its newest dry one. */
function wetAndDryAt({ storage, library }: Deps, positionId: string) {
  const { knowledge } = library.current()
  return wetBeside(storage.wetAndDry.listByPosition(positionId, 200)).map(one => ({
    ...one,
    title: findCheck(knowledge, one)?.title ?? one.check.replaceAll('-', ' '),
  }))
}
