import type { Check } from '../../../knowledge/types.ts'
import type { CheckStep } from '../../../walk/place.ts'
import type { Finding } from '../../../walk/record.ts'
import type { Deps } from '../../deps.ts'
import { page, redirect } from '../../host/answer.ts'
import { person, type Request } from '../../host/request.ts'
import { type FaultInHand, isHeldBy, namedCheck, nextAddress, readFault } from '../in-hand/fault-in-hand.ts'
import { foundWords, readingWords, stepVerdict } from '../in-hand/found-words.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'
import { instrumentAt } from '../instruments/chosen.ts'
import { photosByFinding, photosOf } from '../photos/photos.ts'
import { expectedBar } from './check-drawings.ts'
import { faultCheckLocals } from './check-page.ts'
import { aboutInsulation } from './judged.ts'
import { lastReadings } from './last-readings.ts'
import { measureAgain } from './measure-again.ts'
import { toneFound } from './nearest-tone.ts'
import { gateFields } from './reading-fields.ts'
import { wetBeside } from './wet-and-dry.ts'

/**
 * A check has one address and three faces: the form while the walk stands at it, what was found once it is done,
 * and a word on how to get there while it is neither.
 */
export const show = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  const check = namedCheck(fault, req)
  const { stage } = fault
  if (fault.handedOver && isHeldBy(fault, person(req).id)) return redirect(nextAddress(fault))
  if (fault.mine && (stage.kind === 'held' || stage.kind === 'identify') && stage.check === check) {
    return redirect(nextAddress(fault))
  }
  const current = stage.kind === 'check' && stage.check === check
  if (current)
    return page(
      'technician/check/check',
      faultCheckLocals(deps, fault, check, instrumentAt(deps, req, fault, check), {
        values: gateFields(req.query),
        reported: typeof req.query.reported === 'string' ? req.query.reported : null,
      }),
    )
  const again = againHere(deps, fault, check)
  return page('technician/check/check-found', {
    again,
    title: check.title,
    fault,
    check,
    place: placeInWalk(fault),
    steps: fault.walk.path.flatMap(step =>
      step.kind === 'check' && step.check === check ? [drawn(deps, fault, step)] : [],
    ),
    wetBeside: wetBesideHere(deps, fault, check),
    lastReadings: lastReadings(deps, fault, check),
    foundWords,
    photos: photosByFinding(photosOf(deps, fault.record.fault.id)),
    nextWords: again ? unsureWords(fault) : nextWords(fault),
    struck: fault.walk.struck.filter(({ old }) => stepIsAt(old, check)),
    offPath: fault.walk.offPath.filter(finding => stepIsAt(finding, check)),
    next: fault.mine ? nextAddress(fault) : null,
  })
}

/** A step with its verdict, its reading on the expected range, and what else is to be said of the reading. */
function drawn(deps: Deps, fault: FaultInHand, step: CheckStep) {
  const { finding } = step
  const verdict = stepVerdict(step)
  if (finding.kind !== 'reading') return { ...step, verdict, bar: null, lines: [], tone: null }
  const { range, reading, taken } = finding
  return {
    ...step,
    verdict,
    bar: range && expectedBar(range, reading, finding.verdict.uncertainty),
    lines: readingWords(finding.verdict, taken),
    tone: toneFound(deps, fault, reading),
  }
}

/** Measuring again, where the walk goes on from this check and its reading is too close to call. */
function againHere(deps: Deps, fault: FaultInHand, check: Check) {
  const last = fault.walk.path.at(-1)
  if (!fault.mine || fault.record.closure || last?.kind !== 'check' || last.check !== check) return null
  return measureAgain(deps, fault, check, last, `/faults/${fault.record.fault.id}`)
}

/** The newest wet and dry readings of this check at this position; null unless both are on record. */
function wetBesideHere(deps: Deps, fault: FaultInHand, check: Check) {
  if (!aboutInsulation(check)) return null
  const readings = deps.storage.wetAndDry.listByPosition(fault.position.id, 200)
  return wetBeside(readings).find(one => one.tree === check.tree && one.check === check.slug) ?? null
}

/** The words on the button that goes on. */
function nextWords({ stage, walk }: FaultInHand): string {
  if (stage.kind === 'held') return 'Go on: evidence is held'
  if (walk.place.kind === 'check') return `Go on: ${walk.place.check.title}`
  if (walk.place.kind === 'cause') return `Cause: ${walk.place.cause.title}`
  if (walk.place.kind === 'end') return walk.place.end.title
  return 'Go on'
}

/** The same after a reading that is too close to call: what follows from it is not certain, and is said so. */
function unsureWords({ walk: { place } }: FaultInHand): string {
  if (place.kind === 'cause') return `Go on, not certain: perhaps ${place.cause.title}`
  return place.kind === 'check' ? `Go on, not certain: ${place.check.title}` : 'Go on, not certain'
}

function stepIsAt(finding: Finding, check: Check): boolean {
  return 'check' in finding && finding.check.tree === check.tree && finding.check.check === check.slug
}
