import type { PendingForm } from '../host/pending-form.ts'

/** Ids and the like: nothing that a person typed. */
const unseen = [
  'id',
  'signatureId',
  'tree',
  'check',
  'how',
  'replaces',
  'confirmed',
  'itemKey',
  'key',
  'from',
]

/** What was typed into a form that arrived signed out, to be read before it is sent again. */
export function typedFields({ fields }: PendingForm): { key: string; value: string }[] {
  return fields
    .filter(({ name, value }) => value && !unseen.includes(name))
    .map(({ name, value }) => ({ key: name, value }))
}
