// One unit: where it stood, what the workshop found, and whether the fault goes with it.

import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { figureIfQuick } from '../../../review/figures.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, oneOf, optionalWords, readForm } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { frame } from './pages.ts'
import { staysTable, visitsTable } from './unit-tables.ts'

const visit = z.object({
  id: formId,
  result: oneOf(['tested good', 'repaired', 'scrapped'], 'Choose what the workshop found.'),
  words: optionalWords(1000),
})

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
  const found = figureIfQuick(deps, core, asked, 'units')
  return {
    ...common,
    title: `${unit.kind} ${unit.serial}`,
    unit,
    stays: staysTable(deps.storage.units.historyOfUnit(unit.id), deps.times),
    visits: visitsTable(deps.storage.workshopVisits.listByUnit(unit.id), deps.times),
    record: found?.carrying.find(({ record }) => record.id === unit.id) ?? null,
    values: {},
  }
}
