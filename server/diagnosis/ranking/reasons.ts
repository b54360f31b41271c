// What each finding says about a cause, in words a technician would use.

import type { Finding } from '../../walk/record.ts'
import type { Evidence } from './evidence.ts'
import type { Scope } from './scope.ts'

/** "Supply at the power module: in range. Speaks strongly against this." */
export function findingWords(scope: Scope, item: Evidence, factor: number): string {
  return `${findingTitle(scope, item)}. ${verb(factor)}`
}

export function findingTitle(scope: Scope, item: Evidence): string {
  const check = scope.checks[item.check]
  const label = check?.rows[item.row]?.label ?? 'cannot tell'
  const doubt = [...(item.weights ?? [])].filter(weight => weight > 0).length > 1 ? ', too close to call' : ''
  return `${check?.title ?? ''}: ${label}${doubt}`
}

export function rejectionWords(finding: Finding, factor: number): string {
  if (factor >= 0.5) return 'Another cause was tried and ruled out. Speaks a little for this.'
  const mended = finding.kind === 'rejection' && finding.mended
  return mended ? 'It was mended and the symptom stayed.' : 'Its proof failed.'
}

function verb(factor: number): string {
  if (factor < 0.1) return 'Rules this down.'
  if (factor < 0.67) return 'Speaks against this.'
  if (factor <= 1.5) return 'Says little about this.'
  return factor > 5 ? 'Speaks strongly for this.' : 'Speaks for this.'
}
