import { isOwnAddress, type Request } from './request.ts'
import { secretFields } from './secret-fields.ts'

/** A form that arrived without a session: where it was going and what it held, to be sent again after signing in. */
export interface PendingForm {
  action: string
  fields: { name: string; value: string }[]
}

const prefix = 'kept.'

/** Reads a pending form out of a sign-in form's hidden fields; null when there is none. */
export function pendingForm(req: Request): PendingForm | null {
  const { body } = req
  const action = body['kept-action']
  if (typeof action !== 'string' || !isOwnAddress(action)) return null
  const fields = Object.entries(body).flatMap(([name, value]) =>
    name.startsWith(prefix) && typeof value === 'string' ? [{ name: name.slice(prefix.length), value }] : [],
  )
  return { action, fields }
}

/** The form of a request that arrived signed out, without PINs and passwords. */
export function holdForm(req: Request): PendingForm {
  const { body } = req
  const fields = Object.entries(body).flatMap(([name, value]) =>
    typeof value === 'string' && !secretFields.includes(name) ? [{ name, value }] : [],
  )
  return { action: req.address, fields }
}
