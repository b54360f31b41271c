import type { Check } from '../../../knowledge/types.ts'
import type { Choice } from '../../partials.ts'

/** The checks a walk may be led to off its path; `key`: `tree#check`. */
export function departureChoices(checks: { check: Check; key: string; done: boolean }[]): Choice[] {
  return checks.map(({ check, key, done }) => ({
    value: key,
    label: check.title,
    hint: `${done ? 'done before' : 'not done yet'}${check.minutes ? `, about ${check.minutes} min` : ''}`,
    mark: done ? 'done' : 'open',
  }))
}
