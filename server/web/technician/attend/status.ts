import { handoverSummary } from '../../../walk/handover.ts'
import { placeList } from '../../../walk/place-list.ts'
import { proofsNeeded } from '../../../walk/proof.ts'
import { youAreHere } from '../../author/drafts/you-are-here.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { narratedEntries } from '../check/narrated-entries.ts'
import { placeInWalk } from '../check/place-in-walk.ts'
import { checksOnTheWay } from './checks-on-the-way.ts'
import { readFault } from './fault-in-hand.ts'
import { besidesChecks, statusRows } from './status-rows.ts'

/** One page, printable at any time: place reached, done and not done, what is disturbed. */
export const show = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  const summary = handoverSummary(fault.knowledge, fault.record)
  return page('technician/attend/status', {
    title: 'How it stands now',
    fault,
    place: placeInWalk(fault),
    summary,
    rows: statusRows(summary),
    checks: checksOnTheWay(
      placeList(fault.knowledge, fault.record.fault.tree, fault.walk),
      `/faults/${fault.record.fault.id}`,
    ),
    besides: narratedEntries(besidesChecks(summary.history), deps.times),
    here: youAreHere(fault.knowledge, fault.walk),
    proofs: proofsNeeded(fault.knowledge, fault.walk, fault.record),
    now: deps.clock().toISOString(),
  })
}
