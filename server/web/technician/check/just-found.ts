import type { CheckStep } from '../../../walk/place.ts'
import type { Deps } from '../../deps.ts'
import { type FaultInHand, nextAddress } from '../in-hand/fault-in-hand.ts'
import { readingWords, stepVerdict } from '../in-hand/found-words.ts'
import { measureAgain } from './measure-again.ts'
import { toneFound } from './nearest-tone.ts'

/** What was found last, at the head of the page it led to. */
export interface JustFound {
  title: string
  /** The check's own page, which shows the step as it was. */
  href: string
  verdict: ReturnType<typeof stepVerdict>
  means: string
  /** How it was worked out and judged, a line each. */
  lines: string[]
  /** Said of a frequency that belongs to the other direction. */
  warning: string | null
  correction: string
  byName: string
  at: string
}

/** The last finding where the walk came on by it, for whoever has the fault in hand; else null. */
export function justFound(deps: Deps, fault: FaultInHand): JustFound | null {
  const last = lastStep(fault)
  if (!last?.row || !fault.mine) return null
  const { check, finding } = last
  const at = `/faults/${fault.record.fault.id}`
  return {
    title: check.title,
    href: `${at}/checks/${check.tree}/${check.slug}`,
    verdict: stepVerdict(last),
    means: last.row.means,
    lines: finding.kind === 'reading' ? readingWords(finding.verdict, finding.taken) : [],
    warning: finding.kind === 'reading' ? (toneFound(deps, fault, finding.reading)?.warning ?? null) : null,
    correction: `${at}/findings/${finding.id}/correction`,
    byName: finding.byName,
    at: finding.at,
  }
}

/**
 * Where a recorded finding leads: on to the next check, which says at its head what was found; to the check's own
 * page where one must stop at it: too close to call, a cause, an end, a hold.
 */
export function afterFinding(deps: Deps, fault: FaultInHand, findingId: string): string | null {
  const last = lastStep(fault)
  if (last?.finding.id !== findingId || !last.row) return null
  const { stage } = fault
  const goesOn = stage.kind === 'check' || (stage.kind === 'identify' && stage.check !== null)
  if (!goesOn || measureAgain(deps, fault, last.check, last, '')) return null
  return nextAddress(fault)
}

function lastStep({ walk }: FaultInHand): CheckStep | null {
  const last = walk.path.at(-1)
  return last?.kind === 'check' ? last : null
}
