import { z } from 'zod'
import { factOfRole } from '../../../knowledge/roles.ts'
import { type FuseKind, fuseUnderLoad } from '../../../measurement/electrics/fuse.ts'
import { Impossible } from '../../../measurement/readings/impossible.ts'
import { formatReading, parseReading } from '../../../measurement/readings/reading.ts'
import type { BlownFuse } from '../../../walk/record.ts'
import { type FormErrors, optionalWords, ticked } from '../../host/read-form.ts'
import type { FaultInHand } from '../in-hand/fault-in-hand.ts'

/** As the fuse is marked, and in the words of the trade. */
export const fuseKinds: { value: FuseKind; label: string }[] = [
  { value: 'gG', label: 'gG link' },
  { value: 'miniature quick', label: 'miniature, quick' },
  { value: 'miniature time-lag', label: 'miniature, time-lag' },
]

export const fuseFields = {
  blewIt: optionalWords(500),
  notFound: ticked,
  fuseRating: z.string().max(40, 'That is too long for a rating.').optional().default(''),
  fuseLoad: z.string().max(40, 'That is too long for a current.').optional().default(''),
  fuseKind: z.enum(['gG', 'miniature quick', 'miniature time-lag']).optional().catch('gG').default('gG'),
}

type Sent = z.output<z.ZodObject<typeof fuseFields>>

/** The rating on the diagram, where this position has it as a fact: "2 A"; null where it is not on record. */
export function ratingOnRecord({ equipment, position }: FaultInHand): string | null {
  const fact = factOfRole(equipment, 'fuse rating')
  const value = fact && position.facts[fact.name]
  return fact && value ? `${value} ${fact.unit}` : null
}

/** What was sent about a replaced fuse, or errors by field. What blew it must be said, or that it is not found yet. */
export function readFuse(sent: Sent, onRecord: string | null): { fuse: BlownFuse } | { errors: FormErrors } {
  const errors: FormErrors = {}
  if (!sent.blewIt && !sent.notFound)
    errors.blewIt = 'A blown fuse is a symptom. Say what blew it, or tick that it is not found yet.'
  if (sent.blewIt && sent.notFound)
    errors.blewIt = 'Say what blew it, or tick that it is not found yet: not both.'
  const amperes = (field: string, text: string) => {
    const read = text.trim() === '' ? null : currentIn(text)
    if (typeof read === 'string') errors[field] = read
    return typeof read === 'number' ? read : null
  }
  const rating = amperes('fuseRating', sent.fuseRating || onRecord || '')
  const load = amperes('fuseLoad', sent.fuseLoad)
  const wrong = rating !== null && load !== null ? impossible(rating, load, sent.fuseKind) : null
  if (wrong) errors.fuseRating ??= wrong
  if (Object.keys(errors).length > 0) return { errors }
  return { fuse: { blownBy: sent.blewIt, rating, load, kind: sent.fuseKind } }
}

/** Amperes, or what is wrong with the text. */
function currentIn(text: string): number | string {
  const parsed = parseReading(text, 'A')
  if (!parsed.ok)
    return 'error' in parsed ? parsed.error : `${parsed.ask.question} Type it out, with its unit.`
  return parsed.reading.kind === 'value'
    ? parsed.reading.value
    : `“${formatReading(parsed.reading)}” is no number: type the amperes, or leave it empty.`
}

function impossible(rating: number, load: number, kind: FuseKind): string | null {
  try {
    fuseUnderLoad(rating, load, kind)
    return null
  } catch (error) {
    if (error instanceof Impossible) return error.message
    throw error
  }
}
