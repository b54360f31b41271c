import { z } from 'zod'
import type { Deps } from './deps.ts'
import { page, redirect } from './host/answer.ts'
import { readForm } from './host/read-form.ts'
import { localAddress, type Request } from './host/request.ts'

const looks = z.object({ look: z.enum(['day', 'night', 'auto']), return: z.string().max(500).optional() })

/** The one page that shows how the pages are drawn. */
export const show = (_deps: Deps) => () => {
  return page('look', { title: 'How these pages are drawn' })
}

/** Day or night look, chosen on any page and remembered in a cookie for a year. */
export const choose = (_deps: Deps) => (req: Request) => {
  const form = readForm(looks, req)
  if (!form.ok) return redirect('/')
  const look = { name: 'look', value: form.data.look, maxAgeMs: 365 * 24 * 3600_000 }
  return redirect(localAddress(form.data.return), { cookies: [look] })
}
