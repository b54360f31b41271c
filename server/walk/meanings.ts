// Whether what a row meant still holds, seen from the end of the path.

import { causeSaid } from '../knowledge/cause-said.ts'
import { causeKey, targetKey } from '../knowledge/graph.ts'
import type { Knowledge } from '../knowledge/types.ts'
import { explainFound } from './because.ts'
import type { Step, Walk } from './place.ts'

/** Why the walk went on from a step, without what a later finding has overturned. */
export function becauseNow(knowledge: Knowledge, walk: Walk, step: Step): string {
  if (step.kind !== 'check' || !step.row) return step.because
  const found = explainFound(step.check, step.finding)
  if (ruledOutLater(walk, step)) return `${found}. The cause it led to was ruled out later.`
  return saidTooEarly(knowledge, walk, step) ? `${found}.` : step.because
}

type CheckStep = Extract<Step, { kind: 'check' }>

function ruledOutLater({ path }: Walk, step: CheckStep): boolean {
  if (step.row?.next.kind !== 'cause') return false
  const cause = targetKey(step.row.next)
  return path.slice(path.indexOf(step)).some(later => later.kind === 'rejection' && later.cause === cause)
}

/** The row said a cause, the walk went on, and did not come to that cause. */
function saidTooEarly(knowledge: Knowledge, { path, place }: Walk, step: CheckStep): boolean {
  if (!step.row || step.row.next.kind === 'cause' || step === path.at(-1)) return false
  const kit = knowledge.equipment.get(knowledge.trees.get(step.check.tree)?.equipment ?? '')
  const said = kit ? causeSaid(step.row.means, kit) : null
  if (!said) return false
  const reached = place.kind === 'cause' ? causeKey(place.cause) : null
  return said.cause === null || causeKey(said.cause) !== reached
}
