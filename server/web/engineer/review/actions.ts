// From finding to action: a review of a repeat with an owner, a suspected cause, an action and a due day; and afterwards
// whether the failure stayed away.

import { z } from 'zod'
import { may } from '../../../auth/roles.ts'
import { memo } from '../../../cache.ts'
import type { Explained } from '../../../history/explained.ts'
import { fitKind } from '../../../history/positions/kind-fit.ts'
import type { Stayed } from '../../../history/positions/stayed-away.ts'
import { stayedSinceChange } from '../../../review/attention/stayed.ts'
import type { Core } from '../../../review/figures.ts'
import { exposedIn } from '../../../review/past.ts'
import type { Review } from '../../../storage/storage.ts'
import { happened, planned } from '../../../times.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, optionalWords, readForm, ticked, words } from '../../host/read-form.ts'
import { optionalDay } from '../../host/read-time.ts'
import { person, type Request } from '../../host/request.ts'
import { columns, row, type Table } from '../../partials.ts'
import { actionMark, todayOf } from '../../technician/actions/actions.ts'
import { frame } from './pages.ts'

const state = memo((deps: Deps) =>
  z.object({
    id: formId,
    owner: words('Choose who looks after it.', 100),
    cause: optionalWords(1000),
    action: optionalWords(1000),
    due: optionalDay(deps, planned),
    doneOn: optionalDay(deps, happened),
    result: optionalWords(2000),
    closed: ticked,
  }),
)
const opening = memo((deps: Deps) =>
  state(deps).extend({ why: words('Say what makes it worth a review.', 1000) }),
)

export const index = (deps: Deps) => (req: Request) => {
  const { core, common } = frame(deps, req)
  const reviews = deps.storage.reviews.listOpen()
  return page('engineer/review/reviews', {
    ...common,
    title: 'Actions',
    reviews: openReviewsTable(
      reviews.map(review => ({ review, stayed: stayedSince(deps, core, review) })),
      deps,
    ),
  })
}

export const add = (deps: Deps) => (req: Request) => {
  return page('engineer/review/review-new', newLocals(deps, req))
}

export const create = (deps: Deps) => (req: Request) => {
  const locals = newLocals(deps, req)
  const form = readForm(opening(deps), req)
  const errors = form.ok ? ownerErrors(deps, form.data.owner) : form.errors
  if (!form.ok || Object.keys(errors).length > 0)
    return formAgain('engineer/review/review-new', { ...locals, values: { ...req.body }, errors })
  const positionId = locals.position.id
  deps.storage.reviews.open({ ...stateOf(form.data), why: form.data.why, positionId, by: person(req).id })
  return redirectAfterWrite(deps, req, form.data.id, `/review/reviews/${form.data.id}`)
}

export const show = (deps: Deps) => (req: Request) => {
  return page('engineer/review/review', reviewLocals(deps, req))
}

export const update = (deps: Deps) => (req: Request) => {
  const locals = reviewLocals(deps, req)
  const form = readForm(state(deps), req)
  const errors = form.ok ? ownerErrors(deps, form.data.owner) : form.errors
  if (!form.ok || Object.keys(errors).length > 0)
    return formAgain('engineer/review/review', { ...locals, values: { ...req.body }, errors })
  const { reviewId } = locals.review
  deps.storage.reviews.add({ ...stateOf(form.data), reviewId, by: person(req).id })
  return redirectAfterWrite(deps, req, form.data.id, `/review/reviews/${reviewId}`)
}

/** Since the action was done, against up to two years before it; null while none is done. */
export function stayedSince(deps: Deps, core: Core, review: Review): Explained<Stayed | null> | null {
  const start = review.doneOn === null ? null : deps.times.fromLocal(`${review.doneOn}T00:00`)
  const position = core.past.byId.get(review.positionId)
  if (start === null || position === undefined) return null
  const kind = exposedIn(core.past).filter(row => row.kind === position.equipment)
  const fit = fitKind(
    kind.map(row => row.faults),
    kind.map(row => row.serviceDays),
  )
  const nowMs = deps.clock().getTime()
  return stayedSinceChange(deps.storage.history, position, Date.parse(start), { past: core.past, nowMs, fit })
}

function newLocals(deps: Deps, req: Request) {
  const position = deps.storage.positions.get(String(req.params.position))
  const { core, common } = frame(deps, req)
  const out = core.offenders.out.find(one => one.position.id === position.id)
  const repeats = core.repeats.positions.filter(one => one.position.id === position.id)
  const why = [out?.explained.words, ...repeats.map(one => one.rules.join(', '))].filter(Boolean).join('; ')
  return { ...common, title: 'Open a review', position, owners: ownerChoices(deps), values: { why } }
}

function reviewLocals(deps: Deps, req: Request) {
  const review = deps.storage.reviews.get(String(req.params.review))
  const { core, common } = frame(deps, req)
  const { owner, cause, action, due, doneOn, result } = review
  return {
    ...common,
    title: `Review: ${review.siteName}, ${review.positionName}`,
    review,
    entries: deps.storage.reviews.entries(review.reviewId).toReversed(),
    stayed: stayedSince(deps, core, review),
    owners: ownerChoices(deps),
    values: { owner, cause, action, due: due ?? '', doneOn: doneOn ?? '', result },
  }
}

function stateOf(form: z.output<ReturnType<typeof state>>) {
  const { id, owner, cause, action, due, doneOn, result, closed } = form
  return { id, owner, cause: cause ?? '', action: action ?? '', due, doneOn, result: result ?? '', closed }
}

function owners(deps: Deps): { value: string; label: string }[] {
  const active = deps.storage.people
    .list()
    .filter(someone => someone.active && may(someone.role, 'carry out actions'))
  return active.map(({ id, name, role }) => ({ value: id, label: `${name}, ${role}` }))
}

function ownerChoices(deps: Deps) {
  return [{ value: '', label: 'Choose…' }, ...owners(deps)]
}

function ownerErrors(deps: Deps, owner: string): Record<string, string> {
  return owners(deps).some(({ value }) => value === owner) ? {} : { owner: 'Choose who looks after it.' }
}

/** Open reviews with what is done and whether the failure stayed away. */
function openReviewsTable(
  reviews: { review: Review; stayed: Explained<Stayed | null> | null }[],
  deps: Deps,
): Table {
  return {
    caption: 'Open reviews, the soonest due first',
    captionHidden: true,
    columns: columns('Position', 'Owner', 'Action', 'Due', 'Did it stay away?'),
    rows: reviews.map(({ review, stayed }) =>
      row(
        {
          text: `${review.siteName}, ${review.positionName}`,
          href: `/review/reviews/${review.reviewId}`,
          note: review.why,
        },
        review.ownerName,
        { text: review.action || 'none yet', note: review.cause ? `suspected: ${review.cause}` : null },
        {
          text: review.due === null ? 'no day' : deps.times.day(review.due),
          mark: actionMark(review, todayOf(deps)),
        },
        stayedWords(deps, review, stayed),
      ),
    ),
    empty: 'No review is open. One is opened from a position’s page.',
  }
}

/** With the day from which it can be told, where that is still to come. */
function stayedWords({ times }: Deps, { doneOn }: Review, stayed: Explained<Stayed | null> | null): string {
  if (stayed === null || doneOn === null) return 'not done yet'
  const needed = stayed.terms.find(term => term.name === 'days needed')?.value
  if (stayed.value !== 'too early to say' || typeof needed !== 'number') return stayed.words
  const from = times.day(new Date(Date.parse(doneOn) + needed * 86_400_000).toISOString())
  return `${stayed.words} To be told from ${from}.`
}
