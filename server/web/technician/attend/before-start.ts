// What everybody says before they start, whether they come first, take over, or are handed the fault.

import { soon } from '../../../times.ts'
import type { Deps } from '../../deps.ts'
import { formId, words } from '../../host/read-form.ts'
import { optionalTime } from '../../host/read-time.ts'
import type { Request } from '../../host/request.ts'
import type { Choice } from '../../partials.ts'

/** The fields of the before-start partial. */
export function beforeStartFields(deps: Deps) {
  return {
    id: formId,
    spokenTo: words('Say who you spoke to before starting.', 300),
    protection: words('Say how you are protected from trains: a phrase, your own words, or both.', 500),
    isolation: words('Say what is isolated, or “nothing”: a phrase, your own words, or both.', 500),
    finish: optionalTime(deps, soon),
  }
}

/** The form with each chosen phrase put before the words typed beside it. */
export function withPhrases({ body }: Request): { body: Record<string, unknown> } {
  const said = (field: string) => [body?.[`${field}Phrase`], body?.[field]].filter(Boolean).join(', ')
  return { body: { ...body, protection: said('protection'), isolation: said('isolation') } }
}

/** The depot's own phrases, as tiles; none is chosen beforehand. */
export function phraseChoices({ config }: Deps): { protection: Choice[]; isolation: Choice[] } {
  const choices = (phrases: string[]) => phrases.map(value => ({ value, label: value }))
  return { protection: choices(config.protectionPhrases), isolation: choices(config.isolationPhrases) }
}
