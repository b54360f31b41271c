// What an engineer's review has given somebody to do: seen on their first page, read, and answered with what they did.

import { z } from 'zod'
import { memo } from '../../../cache.ts'
import { AppError } from '../../../errors.ts'
import type { Review } from '../../../storage/storage.ts'
import { happened } from '../../../times.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm, words } from '../../host/read-form.ts'
import { day } from '../../host/read-time.ts'
import { person, type Request } from '../../host/request.ts'
import type { Mark } from '../../partials.ts'

const done = memo((deps: Deps) =>
  z.object({
    id: formId,
    doneOn: day(deps, happened, 'Say when it was done.'),
    result: words('Say what you did.', 2000),
  }),
)

export const show = (deps: Deps) => (req: Request) => page('technician/actions/action', locals(deps, req))

/** The action is done from that day on; the review stays with the engineer, who watches whether the failure stays away. */
export const create = (deps: Deps) => (req: Request) => {
  const { review, ...rest } = locals(deps, req)
  if (review.owner !== person(req).id) throw new AppError('forbidden', `This is ${review.ownerName}’s to do.`)
  const form = readForm(done(deps), req)
  if (!form.ok) return formAgain('technician/actions/action', { review, ...rest, ...form })
  const { reviewId, owner, cause, action, due } = review
  const state = { owner, cause, action, due, ...form.data, closed: false }
  deps.storage.reviews.add({ ...state, reviewId, by: person(req).id })
  return redirectAfterWrite(deps, req, form.data.id, '/faults')
}

function locals(deps: Deps, req: Request) {
  const review = deps.storage.reviews.get(String(req.params.review))
  return {
    title: `${review.siteName}: ${review.positionName}`,
    review,
    own: review.owner === person(req).id && !review.closed && review.doneOn === null,
    mark: actionMark(review, todayOf(deps)),
    entries: deps.storage.reviews.entries(review.reviewId).toReversed(),
    values: { doneOn: todayOf(deps) },
  }
}

/** Those given to somebody and not done yet, the soonest due first. */
export function actionsOf(deps: Deps, personId: string) {
  const today = todayOf(deps)
  return deps.storage.reviews
    .listOpen()
    .filter(({ owner, doneOn }) => owner === personId && doneOn === null)
    .map(review => ({ ...review, mark: actionMark(review, today) }))
}

const soonDays = 7

/** `today` as a date field gives it. */
export function actionMark({ due, doneOn, closed }: Review, today: string): Mark {
  if (closed) return { kind: 'in', word: 'closed' }
  if (doneOn !== null) return { kind: 'in', word: 'done' }
  if (due !== null && due < today) return { kind: 'out', word: 'overdue' }
  const soon = new Date(Date.parse(today) + soonDays * 86_400_000).toISOString().slice(0, 10)
  return due !== null && due <= soon ? { kind: 'close', word: 'due' } : { kind: 'waiting', word: 'to do' }
}

export function todayOf({ clock, times }: Pick<Deps, 'clock' | 'times'>): string {
  return times.local(clock().toISOString()).slice(0, 10)
}
