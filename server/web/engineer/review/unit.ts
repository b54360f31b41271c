// One unit: where it stood, what the workshop found, and whether the fault goes with it.

import { z } from 'zod'
import { memo } from '../../../cache.ts'
import { AppError } from '../../../errors.ts'
import { figureIfQuick } from '../../../review/figures.ts'
import type { WorkshopVisit } from '../../../storage/history/review-later.ts'
import type { UnitHold } from '../../../storage/railway/unit-life.ts'
import type { Storage } from '../../../storage/storage.ts'
import { happenedBefore, type Times } from '../../../times.ts'
import { capitalize } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, oneOf, optionalWords, readForm, words } from '../../host/read-form.ts'
import { optionalTime } from '../../host/read-time.ts'
import { person, type Request } from '../../host/request.ts'
import { columns, row, type Table } from '../../partials.ts'
import { stateMark } from '../railway/units.ts'
import { byPlate } from './by-plate.ts'
import { frame } from './pages.ts'

const visit = z.object({
  id: formId,
  result: oneOf(['tested good', 'repaired', 'scrapped'], 'Choose what the workshop found.'),
  words: optionalWords(1000),
})

const hold = z.object({
  id: formId,
  state: oneOf(['kept apart', 'released'], 'Choose whether it is kept apart.'),
  reason: words('Say why.', 500),
})
const change = memo((deps: Deps) =>
  z.object({
    id: formId,
    plate: optionalWords(60),
    at: optionalTime(deps, happenedBefore),
    why: words('Say why it was changed.', 500),
  }),
)

/** Keeps the unit apart, so that nobody may fit it, or lets it be fitted again. */
export const addHold = (deps: Deps) => (req: Request) => {
  const locals = unitLocals(deps, req)
  const form = readForm(hold, req)
  if (!form.ok) return formAgain('engineer/review/unit', { ...locals, ...form })
  const { unit } = locals
  deps.storage.unitLife.hold({ ...form.data, unitId: unit.id, by: person(req).id })
  return redirectAfterWrite(deps, req, form.data.id, `/review/units/${encodeURIComponent(unit.id)}`)
}

/** A change that was planned: fitted at a position by its plate, or taken out where none is given. */
export const addChange = (deps: Deps) => (req: Request) => {
  const locals = unitLocals(deps, req)
  const form = readForm(change(deps), req)
  if (!form.ok) return formAgain('engineer/review/unit', { ...locals, ...form })
  const { unit } = locals
  const { id, plate, at, why } = form.data
  const again = (errors: Record<string, string>) =>
    formAgain('engineer/review/unit', { ...locals, values: { ...req.body }, errors })
  const position = plate === null ? null : byPlate(deps, plate)
  if (plate !== null && position === null) return again({ plate: 'No position has this plate.' })
  const when = at ?? deps.clock().toISOString()
  try {
    const to = { positionId: position?.id ?? null, at: when, words: why }
    deps.storage.unitLife.change({ id, unitId: unit.id, by: person(req).id, ...to })
  } catch (error) {
    if (!(error instanceof AppError) || error.code !== 'invalid') throw error
    return again({ plate: error.message })
  }
  return redirectAfterWrite(deps, req, id, `/review/units/${encodeURIComponent(unit.id)}`)
}

export const show = (deps: Deps) => (req: Request) => {
  return page('engineer/review/unit', unitLocals(deps, req))
}

export const addVisit = (deps: Deps) => (req: Request) => {
  const locals = unitLocals(deps, req)
  const form = readForm(visit, req)
  if (!form.ok) return formAgain('engineer/review/unit', { ...locals, ...form })
  const { id, result, words } = form.data
  deps.storage.workshopVisits.add({
    id,
    unitId: locals.unit.id,
    by: person(req).id,
    result,
    words: words ?? '',
  })
  return redirectAfterWrite(deps, req, id, `/review/units/${encodeURIComponent(locals.unit.id)}`)
}

function unitLocals(deps: Deps, req: Request) {
  const unit = deps.storage.units.find(String(req.params.unit))
  if (unit === null) throw new AppError('not found', 'There is no such unit.')
  const { asked, core, common } = frame(deps, req)
  const units = figureIfQuick(deps, core, asked, 'units')
  return {
    ...common,
    title: `${unit.kind} ${unit.serial}`,
    unit,
    stays: staysTable(deps.storage.units.historyOfUnit(unit.id), deps.times),
    visits: visitsTable(deps.storage.workshopVisits.listByUnit(unit.id), deps.times),
    record: units?.carrying.find(({ record }) => record.id === unit.id) ?? null,
    holds: holdsTable(deps.storage.unitLife.holds(unit.id), deps.times),
    changes: changesTable(deps.storage.unitLife.changes(unit.id), deps.times),
    ...whereItIs(deps, unit.id),
    values: {},
  }
}

function whereItIs({ storage, times }: Deps, unitId: string) {
  const apart = storage.unitLife.findApart(unitId)
  const now = storage.units.historyOfUnit(unitId).find(stay => stay.removedAt === null)
  return {
    mark: stateMark({ fittedAt: now?.fittedAt ?? null }, apart ?? undefined),
    isHeld: apart?.state === 'kept apart',
    apartWords: apart === null ? null : `${apart.reason} (${apart.byName}, ${times.day(apart.at)})`,
    place:
      now === undefined
        ? 'not fitted anywhere'
        : `${now.siteName}, ${now.positionName}, since ${times.day(now.fittedAt)}`,
  }
}

// One unit: where it stood, and what the workshop found.

type Stay = ReturnType<Storage['units']['historyOfUnit']>[number]

function staysTable(stays: Stay[], times: Times): Table {
  return {
    caption: 'Stays, newest first',
    captionHidden: true,
    columns: columns('Position', 'Fitted', 'Taken out'),
    rows: stays.map(stay => ({
      ...row(
        { text: `${stay.siteName}, ${stay.positionName}`, href: `/review/positions/${stay.positionId}` },
        times.day(stay.fittedAt),
        stay.removedAt ? times.day(stay.removedAt) : 'fitted now',
      ),
      current: !stay.removedAt,
    })),
    empty: 'It was never fitted.',
  }
}

function holdsTable(holds: UnitHold[], times: Times): Table {
  return {
    caption: 'Kept apart and released, newest first',
    captionHidden: true,
    columns: columns('When', 'State', 'Why', 'By'),
    rows: holds.map(one => row(times.day(one.at), capitalize(one.state), one.reason, one.byName)),
    empty: 'It was never kept apart.',
  }
}

function changesTable(changes: ReturnType<Storage['unitLife']['changes']>, times: Times): Table {
  return {
    caption: 'Planned changes, newest first',
    captionHidden: true,
    columns: columns('When', 'To', 'Why', 'By'),
    rows: changes.map(one => row(times.day(one.at), one.place ?? 'taken out', one.words, one.byName)),
    empty: 'None was recorded.',
  }
}

function visitsTable(visits: WorkshopVisit[], times: Times): Table {
  return {
    caption: 'What the workshop found, newest first',
    captionHidden: true,
    columns: columns('When', 'Result', 'Words', 'Told by'),
    rows: visits.map(one => row(times.day(one.at), capitalize(one.result), one.words, one.byName)),
    empty: 'Nothing was told yet.',
  }
}
