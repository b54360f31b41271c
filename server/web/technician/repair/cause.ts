import { renderMarkdown } from '../../../knowledge/render.ts'
import { fuseUnanswered, fuseWords } from '../../../walk/blown-fuse.ts'
import { stillDisturbed } from '../../../walk/disturbed.ts'
import { evidenceFor } from '../../../walk/evidence.ts'
import { placeKey } from '../../../walk/place.ts'
import { repairOf } from '../../../walk/proof.ts'
import type { Deps } from '../../deps.ts'
import { page, redirect } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { shownCaution } from '../../shown-caution.ts'
import { type FaultInHand, nextAddress, readFault } from '../in-hand/fault-in-hand.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'

/** The cause the walk has come to: what supports it, what could prove it wrong, the remedy. */
export const show = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  if (fault.walk.place.kind !== 'cause') return redirect(nextAddress(fault))
  const { cause } = fault.walk.place
  return page('technician/repair/cause', {
    title: cause.title,
    fault,
    place: placeInWalk(fault),
    cause,
    causeKey: placeKey(fault.walk.place),
    cautions: cause.cautions.map(shownCaution),
    remedy: renderMarkdown(cause.remedy),
    evidence: shownEvidence(evidenceFor(fault.knowledge, fault.walk, fault.record)),
    repairs: repairsOf(fault, placeKey(fault.walk.place)),
    unanswered: fuseQuestion(fault),
    fuseWords,
    next: fault.mine ? nextAddress(fault) : null,
  })
}

/** An end of the tree without a cause: nothing found, or a matter for another party. */
export const showEnd = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  if (fault.walk.place.kind !== 'end') return redirect(nextAddress(fault))
  const { end } = fault.walk.place
  return page('technician/repair/end', {
    title: end.title,
    fault,
    place: placeInWalk(fault),
    end,
    about: renderMarkdown(end.about),
    cautions: end.cautions.map(shownCaution),
    open: stillDisturbed(fault.disturbed),
  })
}

function repairsOf(fault: FaultInHand, cause: string) {
  return fault.record.repairs.filter(repair => repair.cause === cause)
}

/** What blew the fuse, while the repair in hand leaves that open. */
export function fuseQuestion(fault: FaultInHand): string | null {
  const { place } = fault.walk
  const repair = place.kind === 'cause' ? repairOf(fault.record, placeKey(place)) : null
  return repair && fuseUnanswered(repair)
}

type Evidence = ReturnType<typeof evidenceFor>

/** The evidence for a cause, cut to what a page can show: four checks against it, six other causes. */
function shownEvidence(evidence: Evidence): Evidence {
  return (
    evidence && {
      ...evidence,
      couldDisprove: evidence.couldDisprove.slice(0, 4),
      alive: evidence.alive.slice(0, 6),
    }
  )
}
