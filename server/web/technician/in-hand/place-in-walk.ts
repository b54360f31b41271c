import { placeKey } from '../../../walk/place.ts'
import { proofsNeeded, repairOf } from '../../../walk/proof.ts'
import type { FaultInHand } from './fault-in-hand.ts'

/** The strip at the head of every page of a walk, as the place-strip partial takes it. */
export interface PlaceInWalk {
  site: string
  position: string
  siteHref: string
  positionHref: string
  fault?: string
  step?: string
  notDone?: { count: number; href: string }
  disturbed?: { count: number; href: string }
}

/** Where am I, what is not done yet, what is disturbed. The counts go once the fault is closed. */
export function placeInWalk(fault: FaultInHand): PlaceInWalk {
  const base = `/faults/${fault.record.fault.id}`
  const where = {
    fault: faultWords(fault.record.fault.number),
    site: fault.position.siteName,
    position: fault.position.name,
    siteHref: `/sites/${fault.position.siteId}`,
    positionHref: `/positions/${fault.position.id}`,
  }
  if (fault.record.closure) return where
  const disturbed = fault.disturbed.filter(item => item.state === 'open' || item.state === 'perhaps').length
  const checks = fault.walk.path.filter(step => step.kind === 'check').length
  return {
    step:
      fault.walk.place.kind === 'check'
        ? `Check ${checks + 1}`
        : `${checks} ${checks === 1 ? 'check' : 'checks'} done`,
    ...where,
    notDone: { count: disturbed + proofsToDo(fault), href: `${base}/status` },
    disturbed: { count: disturbed, href: `${base}/put-back` },
  }
}

/** "Fault 4837": what is said on the phone. */
export function faultWords(number: number | null | undefined): string {
  return number ? `Fault ${number}` : 'No number yet'
}

/** Proofs the repair in hand still wants; none before there is a repair. */
function proofsToDo(fault: FaultInHand): number {
  const { place } = fault.walk
  if (place.kind !== 'cause' || !repairOf(fault.record, placeKey(place))) return 0
  const items = proofsNeeded(fault.knowledge, fault.walk, fault.record, fault.disturbed)
  return items.filter(item => item.state !== 'passed').length
}
