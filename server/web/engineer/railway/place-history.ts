import { AppError } from '../../../errors.ts'
import type { PlaceChange } from '../../../storage/storage.ts'
import type { Times } from '../../../times.ts'
import type { FormErrors } from '../../host/read-form.ts'
import { columns, row, type Table } from '../../partials.ts'

/** What was changed by hand, newest first. */
export function changesTable(changes: PlaceChange[], times: Times): Table {
  return {
    caption: 'Changed by hand, newest first',
    captionHidden: true,
    columns: columns('When', 'By', 'What', 'Why'),
    rows: changes.map(({ at, byName, why, was, became }) =>
      row(times.moment(at), byName, changeWords(was, became, times), why),
    ),
    empty: 'Nothing was changed by hand.',
  }
}

function changeWords(was: PlaceChange['was'], became: PlaceChange['became'], times: Times): string {
  const names = [...new Set([...Object.keys(was), ...Object.keys(became)])]
  const said = (text: string | undefined) =>
    text ? (/^\d{4}-\d\d-\d\dT/.test(text) ? times.day(text) : text) : 'nothing'
  return names.map(name => `${name}: ${said(was[name])} → ${said(became[name])}`).join('; ')
}

/** Runs a write; what it refuses stands at that field. */
export function asFormError(field: string, write: () => void): FormErrors | null {
  try {
    write()
    return null
  } catch (error) {
    if (!(error instanceof AppError) || (error.code !== 'conflict' && error.code !== 'invalid')) throw error
    return { [field]: error.message }
  }
}
