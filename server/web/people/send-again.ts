import { type Page, page } from '../host/answer.ts'
import type { PendingForm } from '../host/pending-form.ts'
import { typedFields } from './typed-fields.ts'

/** Offers a form that was held up to be looked at once more and sent. */
export function offerAgain(pending: PendingForm, name: string): Page {
  return page('people/send-again', {
    title: 'Send what you had entered',
    pending,
    typed: typedFields(pending),
    name,
  })
}
