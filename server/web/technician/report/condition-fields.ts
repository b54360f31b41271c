import type { FaultTree } from '../../../knowledge/types.ts'
import { capitalize } from '../../../words.ts'
import type { Choice, SummaryRow } from '../../partials.ts'

/** What can be said of a fault that comes and goes: one field for each condition. */
export interface ConditionField {
  name: string
  label: string
}

export function conditionFields(names: string[]): ConditionField[] {
  return names.map((name, n) => ({ name: `condition${n}`, label: capitalize(name) }))
}

/** Whether any of the fields was filled in, or is in error. */
export function anyFilled(
  fields: ConditionField[],
  values: Record<string, unknown>,
  errors: Record<string, string>,
): boolean {
  return fields.some(({ name }) => values[name] || errors[name])
}

/** The conditions on record. */
export function conditionRows(conditions: { name: string; value: string }[]): SummaryRow[] {
  return conditions.map(({ name, value }) => ({ key: capitalize(name), value }))
}

/** The fault trees by their symptoms. */
export function symptomChoices(trees: FaultTree[]): Choice[] {
  return trees.map(({ slug, symptom, title }) => ({ value: slug, label: capitalize(symptom), hint: title }))
}
