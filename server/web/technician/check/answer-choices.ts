import type { Check } from '../../../knowledge/types.ts'
import { capitalize } from '../../../words.ts'
import type { Choice } from '../../partials.ts'

/** What the answer's field asks for, as its label. */
export function answerLabel(check: Check): string {
  return capitalize(check.does.kind === 'measure' ? check.does.quantity : check.does.what)
}

/** The words an observation can be, to choose from. */
export function wordChoices(words: string[]): Choice[] {
  return words.map(word => ({ value: word, label: capitalize(word) }))
}

/** What a reading may have meant, where that is asked; `question` as the judging of it gave it. */
export function meaningChoices(question: unknown): Choice[] {
  const { ask } = (question ?? {}) as { ask?: { choices: { text: string; means: string }[] } }
  return (ask?.choices ?? []).map(({ text, means }) => ({ value: text, label: means }))
}

/** The rows of a check, to choose from where the finding does not decide. */
export function rowChoices(check: Check): Choice[] {
  return check.rows.map(({ label, means }) => ({ value: label, label, hint: means }))
}

/** The end of the name of an answer's draft on the tablet; each reading of a series has its own draft. */
export function draftEnd(check: Check, series: unknown): string {
  const place = `${check.tree}-${check.slug}`
  return series ? `${place}-${String(series).split(';').length}` : place
}

/** Where the form is, below the fault or the round; `replaces`: id of the finding it corrects, or ''. */
export function formPath(check: Check, replaces: string): string {
  return replaces ? `findings/${replaces}/correction` : `checks/${check.tree}/${check.slug}`
}
