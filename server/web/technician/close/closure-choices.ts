import { capitalize } from '../../../words.ts'
import type { Choice } from '../../partials.ts'

/** How a fault can end, each with what still blocks it; `blocked`: outcome → reasons. */
export function closureChoices(blocked: Record<string, string[]>): Choice[] {
  return Object.entries(blocked).map(([outcome, reasons]) => ({
    value: outcome,
    label: capitalize(outcome),
    mark: reasons.length > 0 ? 'open' : 'done',
    hint: reasons.length > 0 ? `Not yet: ${reasons.join(' ')}` : 'Can be signed.',
  }))
}
