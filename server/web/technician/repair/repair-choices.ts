import type { UnitVariant } from '../../../knowledge/types.ts'
import type { FittedUnit } from '../../../storage/storage.ts'
import type { Fit } from '../../../walk/fit.ts'
import { capitalize } from '../../../words.ts'
import type { Choice, SummaryRow } from '../../partials.ts'

type Fitting = { unit: UnitVariant; fit: Fit }[]

/** The unit of a kind that is fitted now, and the variants that may take its place. */
export function fittedRows(kind: string, fitted: FittedUnit | undefined, fitting: Fitting): SummaryRow[] {
  const now = fitted && `${fitted.kind} ${fitted.variant}, serial ${fitted.serial}`
  const may = fitting.flatMap(({ unit, fit }) => (fit.ok ? [unit.variant] : []))
  return [
    { key: 'Fitted now', value: now ?? `no ${kind} is on record here` },
    { key: 'May be fitted here', value: may.join(', ') || 'none on record' },
  ]
}

/** Every variant of a kind, whether or not it may be fitted here: what the label says must be said. */
export function variantChoices(fitting: Fitting): Choice[] {
  return fitting.map(({ unit }) => ({ value: unit.variant, label: unit.variant }))
}

const hints: Record<string, string> = {
  reset: 'An action, never a cause.',
  'nothing changed': 'The cause is then not proved.',
}

/** What may have been done; a unit replaced has a form of its own. */
export function actionChoices(actions: readonly string[]): Choice[] {
  return actions
    .filter(action => action !== 'unit replaced')
    .map(action => ({ value: action, label: capitalize(action), hint: hints[action] ?? null }))
}
