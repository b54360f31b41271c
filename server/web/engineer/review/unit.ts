// One unit: where it stood, what the workshop found, and whether the fault goes with it.

import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { figureIfQuick } from '../../../review/figures.ts'
import type { WorkshopVisit } from '../../../storage/history/review-later.ts'
import type { Storage } from '../../../storage/storage.ts'
import type { Times } from '../../../times.ts'
import { capitalize } from '../../../words.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, oneOf, optionalWords, readForm } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { columns, row, type Table } from '../../partials.ts'
import { frame } from './pages.ts'

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
  const units = figureIfQuick(deps, core, asked, 'units')
  return {
    ...common,
    title: `${unit.kind} ${unit.serial}`,
    unit,
    stays: staysTable(deps.storage.units.historyOfUnit(unit.id), deps.times),
    visits: visitsTable(deps.storage.workshopVisits.listByUnit(unit.id), deps.times),
    record: units?.carrying.find(({ record }) => record.id === unit.id) ?? null,
    values: {},
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

function visitsTable(visits: WorkshopVisit[], times: Times): Table {
  return {
    caption: 'What the workshop found, newest first',
    captionHidden: true,
    columns: columns('When', 'Result', 'Words', 'Told by'),
    rows: visits.map(one => row(times.day(one.at), capitalize(one.result), one.words, one.byName)),
    empty: 'Nothing was told yet.',
  }
}
