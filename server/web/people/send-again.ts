import { type Page, page } from '../host/answer.ts'
import type { KeptForm } from '../host/kept-form.ts'
import { typedFields } from './typed-fields.ts'

/** Offers a form that was held up to be looked at once more and sent. */
export function offerAgain(kept: KeptForm, name: string): Page {
  return page('people/send-again', {
    title: 'Send what you had entered',
    kept,
    typed: typedFields(kept),
    name,
  })
}
