import { getUnit } from '../../../measurement/readings/units.ts'
import type { FormErrors } from '../../host/read-form.ts'
import type { CalculatorField } from './calculators-list.ts'

/** A field of a calculator as the field partial takes it: a choice as a select, a number with its unit. */
export function shownField(
  { name, label, hint, unit, choices }: CalculatorField,
  values: Record<string, string>,
  errors: FormErrors,
) {
  const field = { name, label, hint, error: errors[name], value: values[name] }
  return choices
    ? { ...field, type: 'select', options: choices }
    : { ...field, type: 'decimal', unit: unit && getUnit(unit).shown, width: 'short' }
}
