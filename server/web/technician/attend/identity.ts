import { z } from 'zod'
import { asCompared } from '../../../look-alike.ts'
import { supersededOf } from '../../../walk/fit.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirect, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm, words } from '../../host/read-form.ts'
import type { Request } from '../../host/request.ts'
import { justFound } from '../check/just-found.ts'
import { entryOf, type FaultInHand, nextAddress, readOwnFault } from '../in-hand/fault-in-hand.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'

const plate = z.object({ id: formId, typed: words('Type the code as it stands on the plate.', 60) })

/** Asks for the code on the equipment's plate before anything is disturbed, and again after a break. */
export const show = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  if (fault.stage.kind !== 'identify') return redirect(nextAddress(fault))
  return page('technician/attend/identity', locals(deps, fault, fault.stage.reason))
}

export const create = (deps: Deps) => (req: Request) => {
  const fault = readOwnFault(deps, req)
  if (fault.stage.kind !== 'identify') return redirect(nextAddress(fault))
  const shown = locals(deps, fault, fault.stage.reason)
  const form = readForm(plate, req)
  if (!form.ok) return formAgain('technician/attend/identity', { ...shown, ...form })
  const matched = plateTrouble(deps, fault, form.data.typed) === null
  deps.storage.identities.add({
    id: form.data.id,
    ...entryOf(fault, req),
    typed: form.data.typed,
    matched,
  })
  const base = `/faults/${fault.record.fault.id}`
  return redirectAfterWrite(deps, req, form.data.id, matched ? `${base}/next` : `${base}/identity`)
}

/**
 * Whether the code typed is the plate's. Spaces, dashes and capitals are how a code is read out, not what it says; O and 0,
 * I and 1 are taken for each other unless that would make it the plate of another position at the site.
 */
export function isPlateOf(typed: string, plate: string, othersHere: readonly { plate: string }[]): boolean {
  if (bare(typed) === bare(plate)) return true
  const alike = asCompared(plate)
  return asCompared(typed) === alike && !othersHere.some(other => asCompared(other.plate) === alike)
}

const bare = (text: string) => text.replace(/[\s\-–./]/g, '').toLowerCase()

/** What is wrong with the code typed; null when it is the plate of the fault's position. */
export function plateTrouble(deps: Deps, fault: FaultInHand, typed: string): string | null {
  const others = deps.storage.positions.neighbours(fault.position.id)
  return isPlateOf(typed, fault.position.plate, others) ? null : mistaken(deps, fault, typed)
}

/** The other positions at the site, by name. */
export function lookAlikesOf(deps: Deps, { position }: FaultInHand): string {
  const others = deps.storage.positions.neighbours(position.id)
  return others.map(one => one.name).join(', ')
}

function mistaken(deps: Deps, fault: FaultInHand, typed: string): string {
  const others = deps.storage.positions.neighbours(fault.position.id)
  const other = others.find(one => isPlateOf(typed, one.plate, [fault.position]))
  if (other)
    return `That is the plate of ${other.name}. You are at the wrong equipment: find ${fault.position.name}.`
  return 'That is not the plate of this position. Read it again; if it is right, the records are wrong: report that and do not go on.'
}

function locals(deps: Deps, fault: FaultInHand, reason: string) {
  const last = fault.record.identities.at(-1)
  const wrong = last && !last.matched && last.attendanceId === fault.attendance?.id ? last.typed : null
  return {
    title: 'Is this the right equipment?',
    fault,
    place: placeInWalk(fault),
    found: justFound(deps, fault),
    reason,
    lookAlikes: lookAlikesOf(deps, fault),
    superseded: supersededOf(fault.equipment, fault.position.fitted).join('; '),
    errors: wrong ? { typed: `“${wrong}”: ${mistaken(deps, fault, wrong)}` } : {},
    values: {},
  }
}
