import { z } from 'zod'
import type { Finding } from '../../../walk/record.ts'
import { formId, optionalWords, words } from '../../host/read-form.ts'
import { confirmedFields } from './judged.ts'

const short = z.string().max(200, 'That is too long for a reading.').optional()

/** The fields of a reading in a form: the number, what it is worked out of, and how it was taken. */
export const readingFields = {
  text: short.default(''),
  meant: short,
  confirmed: short,
  series: z.string().max(400, 'That is too much for readings.').optional(),
  leads: z.enum(['zeroed', 'subtract', '']).optional().catch(''),
  leadOhms: short,
  drop: short,
  current: short,
  wetOrDry: z.enum(['dry', 'wet', '']).optional().catch(''),
}

const reading = z.object(readingFields)
export type ReadingFields = z.output<typeof reading>

/** The fields of a check's form, at a fault or on a round. */
export const findingFields = {
  id: formId,
  tree: words('The check is missing.'),
  check: words('The check is missing.'),
  how: z.enum(['reading', 'another', 'change', 'observation', 'cannot tell'], {
    error: 'Say what you found.',
  }),
  word: z.string().max(200).optional().default(''),
  ...readingFields,
  row: z.string().max(300).optional().default(''),
  reason: optionalWords(1000),
  note: optionalWords(1000),
  replaces: z.string().max(64).optional().default(''),
}

const answer = z.object(findingFields)
export type AnswerFields = z.output<typeof answer>

/** What the address says was confirmed before the tester goes on. */
export function gateFields(query: Record<string, unknown>): Record<string, string> {
  const given = ['dead', 'ends', 'electronics'].filter(name => query[name] === 'yes')
  return Object.fromEntries(given.map(name => [name, 'yes']))
}

/** What was found, as the fields that said it, so that it can be corrected. */
export function fieldsOf(finding: Finding): Record<string, string> {
  if (finding.kind === 'observation') return { word: finding.word }
  if (finding.kind !== 'reading') return {}
  const { correction, confirmed = [], wetOrDry = null } = finding.taken ?? {}
  const said = { ...confirmedFields(confirmed), wetOrDry: wetOrDry ?? '' }
  const typed = (what: string) => correction?.typed.find(one => one.what === what)?.text ?? ''
  const steps = correction?.steps ?? []
  if (steps.includes('volt drop under load'))
    return { ...said, text: '', drop: typed('volt drop'), current: typed('current') }
  const leads = steps.includes('leads subtracted')
    ? 'subtract'
    : steps.includes('leads zeroed')
      ? 'zeroed'
      : ''
  return { ...said, text: finding.text, leads, leadOhms: typed('leads') }
}
