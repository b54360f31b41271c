// The instruments in hand, one for each kind of measurement: remembered on the tablet for the shift, for the person
// who chose them.

import { z } from 'zod'
import type { Check } from '../../../knowledge/types.ts'
import { purposeOf } from '../../../measurement/instruments/suitability.ts'
import type { KeptInstrument } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import type { Cookie } from '../../host/answer.ts'
import { person, type Request } from '../../host/request.ts'
import { needsAt } from '../check/judged.ts'
import type { WalkInHand } from '../in-hand/fault-in-hand.ts'

export const instrumentCookie = 'instrument'
/** A choice that was made away from any check is for whatever has none of its own. */
export const EVERYTHING = 'everything'
const kept = z.object({ by: z.string(), of: z.record(z.string(), z.string()) })

/** The instrument in hand for a check, or null: readings are then judged by the simple rule. */
export function instrumentAt(
  deps: Deps,
  req: Request,
  walk: WalkInHand,
  check: Check,
): KeptInstrument | null {
  const choices = choicesOf(req)
  if (Object.keys(choices).length === 0) return null
  const needs = needsAt(walk, check)
  const id = (needs && choices[purposeOf(needs)]) ?? choices[EVERYTHING]
  const instrument = id ? deps.storage.instruments.find(id) : null
  return instrument?.active ? instrument : null
}

/** The cookie that keeps this choice beside the others; `id` null forgets it. */
export function rememberChoice(deps: Deps, req: Request, purpose: string, id: string | null): Cookie {
  const { [purpose]: _, ...others } = choicesOf(req)
  const of = id === null ? others : { ...others, [purpose]: id }
  const value = Object.keys(of).length > 0 ? JSON.stringify({ by: person(req).id, of }) : null
  return { name: instrumentCookie, value, maxAgeMs: deps.config.sessionHours * 3600_000 }
}

/** By purpose; none where somebody else chose them. */
function choicesOf(req: Request): Record<string, string> {
  try {
    const read = kept.safeParse(JSON.parse(req.cookies[instrumentCookie] ?? 'null'))
    return read.success && read.data.by === person(req).id ? read.data.of : {}
  } catch {
    return {}
  }
}
