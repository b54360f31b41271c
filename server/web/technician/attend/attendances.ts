import { z } from 'zod'
import { memo } from '../../../cache.ts'
import { AppError } from '../../../errors.ts'
import type { NewAttendance } from '../../../storage/storage.ts'
import { duration, type Times } from '../../../times.ts'
import { stillDisturbed } from '../../../walk/disturbed.ts'
import { disturbedItems, type Resume, resume as resumeAt } from '../../../walk/handover.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirect, redirectAfterWrite } from '../../host/answer.ts'
import { type FormErrors, optionalWords, readForm, words } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import type { SummaryRow } from '../../partials.ts'
import { shownCaution } from '../../shown-caution.ts'
import { type FaultInHand, isHeldBy, nextAddress, readFault } from '../in-hand/fault-in-hand.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'
import { attendancesBefore, repeatsHere } from '../report/position-history.ts'
import { beforeStartFields, phraseChoices, withPhrases } from './before-start.ts'
import { lookAlikesOf, plateTrouble } from './identity.ts'

const beforeItStarts = memo((deps: Deps) =>
  z.object({
    ...beforeStartFields(deps),
    seen: z.literal('yes', { error: 'Read the history and the open entries first, then tick this.' }),
    /** The plate read at the equipment already; asked before the first reading where it was not. */
    plate: optionalWords(60),
    /** Keys of what stands disturbed, each ticked by itself. */
    taken: z
      .union([z.string(), z.array(z.string())])
      .optional()
      .transform(value => [value ?? []].flat()),
  }),
)

const takingOver = memo((deps: Deps) =>
  beforeItStarts(deps).extend({
    reason: words('Say why you take the fault over without a handover.', 500),
  }),
)

export const add = (deps: Deps) => (req: Request) => {
  return page('technician/attend/attendance-new', locals(deps, readFault(deps, req)))
}

/** Begins an attendance; where another technician has the fault in hand, takes it over with a reason. */
export const create = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  if (fault.record.closure)
    throw new AppError('conflict', 'This fault is closed. Report a new one if it has come back.')
  if (isHeldBy(fault, person(req).id)) return redirect(nextAddress(fault))
  const sent = withPhrases(req)
  const form = fault.attendance ? readForm(takingOver(deps), sent) : readForm(beforeItStarts(deps), sent)
  const again = (errors: FormErrors) =>
    formAgain('technician/attend/attendance-new', { ...locals(deps, fault), values: req.body, errors })
  if (!form.ok) return again(form.errors)
  const takenOver = disturbedItems(stillDisturbed(fault.disturbed))
  const left = takenOver.filter(({ key }) => !form.data.taken.includes(key))
  if (left.length > 0) return again({ taken: confirmEach })
  const { plate } = form.data
  const wrong = plate && plateTrouble(deps, fault, plate)
  if (wrong) return again({ plate: wrong })
  const attendance = {
    id: form.data.id,
    faultId: fault.record.fault.id,
    personId: person(req).id,
    seenHistoryAt: deps.clock().toISOString(),
    spokenTo: form.data.spokenTo,
    protectionWords: form.data.protection,
    isolationWords: form.data.isolation,
    expectedFinish: form.data.finish,
    takenOver,
  }
  deps.storage.transaction(() => {
    if (fault.attendance) takeOver(deps, fault, String(req.body.reason))
    deps.storage.attendances.start(attendance)
    if (plate) readPlate(deps, attendance, plate)
  })
  return redirectAfterWrite(deps, req, form.data.id, `/faults/${fault.record.fault.id}/resume`)
}

/** Time away, last done, first not done, then on to the place. */
export const resume = (deps: Deps) => (req: Request) => {
  const fault = readFault(deps, req)
  if (!fault.mine || fault.record.findings.length === 0) return redirect(nextAddress(fault))
  return page('technician/attend/resume', {
    title: 'Where you were',
    fault,
    place: placeInWalk(fault),
    rows: resumeRows(resumeAt(fault.knowledge, fault.record, deps.clock().toISOString()), deps.times),
    open: stillDisturbed(fault.disturbed),
    next: nextAddress(fault),
  })
}

const neverSafe =
  '<p>Fourfoot never says that it is safe to be on the track. Your protection, the local rules and your licence decide that.</p>'

const confirmEach = 'Go through what stands disturbed now, and tick each that you take over.'

/** Under an id that follows from the attendance's, so that a form sent twice writes once. */
function readPlate(deps: Deps, { id, faultId, personId }: NewAttendance, typed: string): void {
  const entry = { id: `plate of ${id}`, faultId, attendanceId: id, by: personId }
  deps.storage.identities.add({ ...entry, typed, matched: true })
}

/** Warnings apart, and the others as one text that ends with what the program never says. */
function cautionBoxes(cautions: string[]) {
  const shown = cautions.map(shownCaution)
  const others = shown.filter(({ word }) => word !== 'Warning').map(({ html }) => html)
  return {
    warnings: shown.filter(({ word }) => word === 'Warning'),
    others: [...others, neverSafe].join(''),
  }
}

function takeOver(deps: Deps, fault: FaultInHand, reason: string): void {
  if (!fault.attendance) return
  deps.storage.attendances.end(fault.attendance.id, 'taken over', undefined, reason)
}

function locals(deps: Deps, fault: FaultInHand) {
  return {
    title: 'Before you start',
    fault,
    place: placeInWalk(fault),
    ...cautionBoxes([...fault.equipment.cautions, ...fault.tree.cautions]),
    phrases: phraseChoices(deps),
    lookAlikes: lookAlikesOf(deps, fault),
    repeatDays: deps.config.repeatWindowDays,
    takingOver: fault.attendance,
    handedOver: fault.handedOver,
    disturbed: disturbedItems(stillDisturbed(fault.disturbed)),
    history: attendancesBefore(deps, fault.position.id, fault.record.fault.id),
    repeats: repeatsHere(deps, fault),
    earlier: deps.storage.faults.countEarlier(
      fault.position.id,
      fault.record.fault.reportedAt,
      deps.config.repeatWindowDays,
    ),
    values: {},
  }
}

/** How long one was away, what was done last and what comes first now. */
function resumeRows(resume: Resume, times: Times): SummaryRow[] {
  const { awayMinutes, lastDone, firstNotDone } = resume
  const last = lastDone
    ? `${lastDone.what}: ${lastDone.found} (${lastDone.byName}, ${times.clock(lastDone.at)})`
    : 'nothing yet'
  return [
    { key: 'Time away', value: duration(awayMinutes) },
    { key: 'Last done', value: last },
    { key: 'First not done', value: firstNotDone },
  ]
}
