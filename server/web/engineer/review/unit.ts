// One unit: where it stood, what the workshop found, and whether the fault goes with it.

import type { Request, Response } from 'express'
import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { figureIfQuick } from '../../../review/figures.ts'
import type { Deps } from '../../deps.ts'
import { renderErrors, renderPage } from '../../host/page.ts'
import { formId, oneOf, optionalWords, readForm } from '../../host/read-form.ts'
import { person, written } from '../../host/visitor.ts'
import { frame } from './pages.ts'
import { staysTable, visitsTable } from './unit-tables.ts'

const visit = z.object({
  id: formId,
  result: oneOf(['tested good', 'repaired', 'scrapped'], 'Choose what the workshop found.'),
  words: optionalWords(1000),
})

export const show = (deps: Deps) => (req: Request, res: Response) => {
  renderPage(res, 'engineer/review/unit', unitLocals(deps, req))
}

export const addVisit = (deps: Deps) => (req: Request, res: Response) => {
  const locals = unitLocals(deps, req)
  const form = readForm(visit, req)
  if (!form.ok) return renderErrors(res, 'engineer/review/unit', { ...locals, ...form })
  const { id, result, words } = form.data
  deps.storage.workshopVisits.add({
    id,
    unitId: locals.unit.id,
    by: person(res).id,
    result,
    words: words ?? '',
  })
  written(deps, req, res, id, `/review/units/${encodeURIComponent(locals.unit.id)}`)
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
