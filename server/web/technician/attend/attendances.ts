import { z } from 'zod'
import { memo } from '../../../cache.ts'
import { AppError } from '../../../errors.ts'
import { duration, soon, type Times } from '../../../times.ts'
import { stillDisturbed } from '../../../walk/disturbed.ts'
import { disturbedItems, type Resume, resume as resumeAt } from '../../../walk/handover.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirect, redirectAfterWrite } from '../../host/answer.ts'
import { type FormErrors, formId, readForm, words } from '../../host/read-form.ts'
import { optionalTime } from '../../host/read-time.ts'
import { person, type Request } from '../../host/request.ts'
import type { SummaryRow } from '../../partials.ts'
import { shownCaution } from '../../shown-caution.ts'
import { type FaultInHand, isHeldBy, nextAddress, readFault } from '../in-hand/fault-in-hand.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'
import { attendancesBefore, repeatsHere } from '../report/position-history.ts'

const beforeItStarts = memo((deps: Deps) =>
  z.object({
    id: formId,
    seen: z.literal('yes', { error: 'Read the history and the open entries first, then tick this.' }),
    spokenTo: words('Say who you spoke to before starting.', 300),
    protection: words('Say how you are protected from trains, in your own words.', 500),
    isolation: words('Say what is isolated, or “nothing”, in your own words.', 500),
    finish: optionalTime(deps, soon),
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
  const form = fault.attendance ? readForm(takingOver(deps), req) : readForm(beforeItStarts(deps), req)
  const again = (errors: FormErrors) =>
    formAgain('technician/attend/attendance-new', { ...locals(deps, fault), values: req.body, errors })
  if (!form.ok) return again(form.errors)
  const takenOver = disturbedItems(stillDisturbed(fault.disturbed))
  const left = takenOver.filter(({ key }) => !form.data.taken.includes(key))
  if (left.length > 0) return again({ taken: confirmEach })
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

const confirmEach = 'Go through what stands disturbed now, and tick each that you take over.'

function takeOver(deps: Deps, fault: FaultInHand, reason: string): void {
  if (!fault.attendance) return
  deps.storage.attendances.end(fault.attendance.id, 'taken over', undefined, reason)
}

function locals(deps: Deps, fault: FaultInHand) {
  return {
    title: 'Before you start',
    fault,
    place: placeInWalk(fault),
    cautions: [...fault.equipment.cautions, ...fault.tree.cautions].map(shownCaution),
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
