import type { Deps } from '../../deps.ts'
import { page, redirect } from '../../host/answer.ts'
import type { Request } from '../../host/request.ts'
import { nextAddress, readFault } from '../in-hand/fault-in-hand.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'

/** Evidence hold: leave it as it is, make safe, report. Only an engineer's release lets the walk go on. */
export const show = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  if (fault.stage.kind !== 'held') return redirect(nextAddress(fault))
  return page('technician/attend/hold', {
    title: 'Stop: leave it as it is',
    fault,
    place: placeInWalk(fault),
    hold: fault.stage.hold,
  })
}
