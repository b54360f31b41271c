// Days and times that are typed: each within sense, or a question at its field in words that say what is wanted.

import { z } from 'zod'
import { dayTrouble, type Sense, timeTrouble, utcOf } from '../../times.ts'
import type { Deps } from '../deps.ts'

type Clock = Pick<Deps, 'clock'>

/** A date field, "2026-05-31" of the depot's calendar; null when left empty. */
export function optionalDay({ clock }: Clock, sense: Sense) {
  return typed.transform((text, context) => {
    if (text === '') return null
    const trouble = dayTrouble(text, sense, clock())
    return trouble === null ? text : refuse(context, trouble)
  })
}

/** A date field that must be filled in; `missing` says so. */
export function day(deps: Clock, sense: Sense, missing: string) {
  return optionalDay(deps, sense).transform((given, context) => given ?? refuse(context, missing))
}

/** A date-and-time field by the depot's clock, as UTC ISO text; null when left empty. */
export function optionalTime({ clock, times }: Pick<Deps, 'clock' | 'times'>, sense: Sense) {
  return typed.transform((text, context) => {
    if (text === '') return null
    const local = text.replace(' ', 'T')
    const at = times.fromLocal(local) ?? utcOf(local)
    // What the calendar does not reach is early or late by any zone.
    if (at === null) return refuse(context, 'Give a day and a time, such as 2026-05-31 14:30.')
    const trouble = timeTrouble(at, sense, clock())
    return trouble === null ? at : refuse(context, trouble)
  })
}

const typed = z
  .string()
  .optional()
  .transform(text => (text ?? '').trim())

function refuse(context: z.RefinementCtx, message: string): never {
  context.addIssue({ code: 'custom', message })
  return z.NEVER
}
