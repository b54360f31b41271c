// One way to answer a check, at a fault, on a round and as a proof: what was typed, read and judged, or what is still
// asked before it can be recorded.

import { matchRow } from '../../../knowledge/match.ts'
import type { Check } from '../../../knowledge/types.ts'
import type { Finding } from '../../../walk/record.ts'
import type { Deps } from '../../deps.ts'
import type { Request } from '../../host/request.ts'
import type { WalkInHand } from '../in-hand/fault-in-hand.ts'
import { instrumentAt } from '../instruments/for-check.ts'
import type { AskedAgain } from './check-page.ts'
import { judgeTyped, measures } from './judged.ts'
import type { AnswerFields, ReadingFields } from './reading-fields.ts'

type Said<K extends Finding['kind'], F extends string> = Pick<
  Extract<Finding, { kind: K }>,
  'kind' | Extract<F, keyof Extract<Finding, { kind: K }>>
>

/** A reading as it is recorded; `unusual` when it was confirmed after a question. */
export type ReadAnswer = Said<
  'reading',
  'text' | 'reading' | 'range' | 'verdict' | 'taken' | 'instrument'
> & {
  unusual: boolean
}

/** What was found, without what places it in a record. */
export type CheckAnswer = { chosenRow: string | null; note: string | null } & (
  | Omit<ReadAnswer, 'unusual'>
  | Said<'observation', 'word'>
  | Said<'cannot tell', never>
)

export type Answered = { found: CheckAnswer } | { again: AskedAgain }

/** What the form of a check says was found. `where` names what lacks a row: "tree", "round". */
export function answerCheck(
  deps: Deps,
  req: Request,
  walk: WalkInHand,
  check: Check,
  data: AnswerFields,
  where: 'tree' | 'round',
): Answered {
  const chosenRow = check.rows.some(row => row.label === data.row) ? data.row : null
  if (data.replaces && !data.reason) return { again: { errors: { reason: 'Say why you correct it.' } } }
  switch (data.how) {
    case 'another':
      return { again: anotherReading(data) }
    case 'cannot tell': {
      const again = unclear(check, chosenRow, data.reason, where)
      return again ? { again } : { found: { kind: 'cannot tell', chosenRow, note: data.note } }
    }
    case 'observation': {
      const row = measures(check) ? null : matchRow(check, { kind: 'word', word: data.word })
      if (!row) return { again: notSeen }
      return { found: { kind: 'observation', word: data.word, chosenRow: null, note: data.note } }
    }
    case 'reading':
      return answerReading(deps, req, walk, check, data, chosenRow)
  }
}

function answerReading(
  deps: Deps,
  req: Request,
  walk: WalkInHand,
  check: Check,
  data: AnswerFields,
  chosenRow: string | null,
): Answered {
  const answer = readTyped(deps, req, walk, check, data)
  if ('again' in answer) return answer
  const { unusual, ...read } = answer.read
  if (!matchRow(check, read) && !chosenRow) return { again: { chooseRow: noLimit } }
  const note = unusual ? ['Confirmed unusual.', data.note].filter(Boolean).join(' ') : data.note
  return { found: { ...read, chosenRow, note } }
}

/** The reading that was typed, judged with the instrument in hand; or what is asked of it. */
export function readTyped(
  deps: Deps,
  req: Request,
  walk: WalkInHand,
  check: Check,
  fields: ReadingFields,
): { read: ReadAnswer } | { again: AskedAgain } {
  if (!measures(check)) return { again: notSeen }
  const instrument = instrumentAt(deps, req, walk, check)
  const judged = judgeTyped(walk, check, { ...fields, instrument }, req.body)
  if (!judged.ok) return { again: 'errors' in judged ? { errors: judged.errors } : { question: judged } }
  const { text, reading, range, verdict, taken, unusual } = judged
  const read = { text, reading, range, verdict, taken, unusual }
  return { read: { kind: 'reading', instrument: instrument?.id ?? null, ...read } }
}

export const notSeen: AskedAgain = { errors: { word: 'Choose what you see.' } }

const noLimit = 'There is no limit to judge this by. Choose the row by your own instructions.'

/** Null when the tree says where to go, or the technician chose a row and said why. */
function unclear(
  check: Check,
  chosenRow: string | null,
  reason: string | null,
  where: string,
): AskedAgain | null {
  if (matchRow(check, { kind: 'cannot tell' })) return null
  if (!chosenRow)
    return { chooseRow: `The ${where} has no row for this. Choose where to go by your own judgement.` }
  if (!reason)
    return { chooseRow: 'Say why you go this way.', errors: { reason: 'Say why you go this way.' } }
  return null
}

/** The reading just typed joins those before it, and the field is free for the next. */
export function anotherReading({ text, series }: Pick<ReadingFields, 'text' | 'series'>): AskedAgain {
  const earlier = (series ?? '').trim()
  if (text.trim() === '') return { errors: { text: 'Type this reading first, then the next.' } }
  return { values: { series: [earlier, text.trim()].filter(Boolean).join('; '), text: '' } }
}
