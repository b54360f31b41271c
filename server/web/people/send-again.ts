import type { Response } from 'express'
import type { KeptForm } from '../host/kept-form.ts'
import { renderPage } from '../host/page.ts'
import { typedFields } from './typed-fields.ts'

/** Offers a form that was held up to be looked at once more and sent. */
export function offerAgain(res: Response, kept: KeptForm, name: string): void {
  renderPage(res, 'people/send-again', {
    title: 'Send what you had entered',
    kept,
    typed: typedFields(kept),
    name,
  })
}
