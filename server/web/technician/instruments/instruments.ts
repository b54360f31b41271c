import { z } from 'zod'
import type { Deps } from '../../deps.ts'
import { redirect } from '../../host/answer.ts'
import { readForm } from '../../host/read-form.ts'
import { localAddress, type Request } from '../../host/request.ts'
import { EVERYTHING, rememberChoice } from './chosen.ts'

const choosing = z.object({
  instrument: z.string().max(64),
  purpose: z.string().max(64).optional(),
  return: z.string().max(500).optional(),
})

/** Remembers the instrument for its kind of measurement; `instrument=none` forgets it. Back to where it was chosen. */
export const choose = (deps: Deps) => (req: Request) => {
  const form = readForm(choosing, req)
  const back = localAddress(req.body.return)
  if (!form.ok) return redirect(back)
  const chosen = deps.storage.instruments.find(form.data.instrument)
  const cookie = rememberChoice(deps, req, form.data.purpose || EVERYTHING, chosen?.id ?? null)
  return redirect(back, { cookies: [cookie] })
}
