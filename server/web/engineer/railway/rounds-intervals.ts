import { z } from 'zod'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm } from '../../host/read-form.ts'
import type { Request } from '../../host/request.ts'

const wholeDays = /^\d{1,4}$/
const form = z.object({ id: formId })

/** How often each kind of equipment is to be seen healthy. */
export const show = (deps: Deps) => () => {
  return page('engineer/railway/rounds-intervals', locals(deps))
}

/** An empty field takes the interval away: its positions then are neither due nor overdue. */
export const update = (deps: Deps) => (req: Request) => {
  const shown = locals(deps)
  const read = readForm(form, req)
  const errors: Record<string, string> = read.ok ? {} : { ...read.errors }
  const wanted = shown.kinds.map(({ slug }) => ({
    slug,
    text: String(req.body[`days-${slug}`] ?? '').trim(),
  }))
  for (const { slug, text } of wanted) {
    const days = Number(text)
    if (text && !(wholeDays.test(text) && days >= 1 && days <= 3660))
      errors[`days-${slug}`] = 'Give a whole number of days from 1 to 3660, or leave it empty.'
  }
  if (!read.ok || Object.keys(errors).length > 0)
    return formAgain('engineer/railway/rounds-intervals', { ...shown, values: req.body, errors })
  deps.storage.transaction(() => {
    for (const { slug, text } of wanted) deps.storage.visits.setInterval(slug, text ? Number(text) : null)
  })
  return redirectAfterWrite(deps, req, read.data.id, '/rounds')
}

function locals(deps: Deps) {
  const intervals = deps.storage.visits.intervals()
  const { equipment, trees } = deps.library.current().knowledge
  const kinds = [...equipment.values()].map(({ slug, name }) => ({
    slug,
    name,
    days: intervals.get(slug) ?? null,
    hint: [...trees.values()].some(tree => tree.kind === 'round' && tree.equipment === slug)
      ? null
      : 'The fault trees in use hold no round for it.',
  }))
  const values = Object.fromEntries(kinds.map(({ slug, days }) => [`days-${slug}`, days ?? '']))
  return { title: 'How often', kinds, values }
}
