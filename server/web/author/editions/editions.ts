import { z } from 'zod'
import { may } from '../../../auth/roles.ts'
import { AppError } from '../../../errors.ts'
import { editionBefore } from '../../../storage/knowledge/publications.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, readForm, words } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import { treeInUse, treeOf } from '../trees/knowledge.ts'
import { changesBetween, noChanges } from './changes.ts'
import { editionChoices, publicationsTable, shortId } from './editions-tables.ts'
import { shownChanges } from './shown-changes.ts'

const reasoned = z.object({ id: formId, words: words('Say why: whoever comes next must know.', 600) })

/** What was in use since when, and how it came to be. */
export const index = (deps: Deps) => (req: Request) => {
  return page('author/editions/editions', indexLocals(deps, req))
}

/** Two editions held against each other, check by check. `since` is the one before unless it is named. */
export const changes = (deps: Deps) => (req: Request) => {
  const id = String(req.params.edition)
  const list = deps.storage.publications.list()
  const at = list.findIndex(one => one.editionId === id)
  const since =
    typeof req.query.since === 'string' && req.query.since ? req.query.since : list[at + 1]?.editionId
  const after = deps.library.edition(id)
  const older = since ? deps.library.edition(since) : null
  if (!after) throw new AppError('not found', 'There is no such edition.')
  return page('author/editions/changes', {
    title: 'What changed',
    desk: true,
    back: { href: '/editions', text: 'Editions' },
    edition: after.id,
    after: shortId(after.id),
    before: older && shortId(older.id),
    since: older?.id ?? '',
    editions: editionChoices(list, after.id, deps.times),
    changes: shownChanges(older ? changesBetween(deps, older.knowledge, after.knowledge) : noChanges),
  })
}

/** Goes back to the edition before, at once. */
export const withdraw = (deps: Deps) => (req: Request) => {
  const form = readForm(reasoned, req)
  if (!form.ok) return formAgain('author/editions/editions', { ...indexLocals(deps, req), ...form })
  const { id, words: note } = form.data
  const repeated = deps.storage.publications.list().some(one => one.id === id)
  if (!repeated) deps.library.withdraw(String(req.params.edition), { id, by: person(req).id, note })
  return redirectAfterWrite(deps, req, id, '/editions')
}

/** No new fault may begin on this tree from now on. */
export const withdrawTree = (deps: Deps) => (req: Request) => {
  const tree = treeInUse(deps, req)
  const form = readForm(reasoned, req)
  if (!form.ok) throw new AppError('invalid', Object.values(form.errors)[0] ?? 'Say why.')
  const { id, words: said } = form.data
  deps.storage.publications.withdrawTree({ id, tree: tree.slug, by: person(req).id, words: said })
  return redirectAfterWrite(deps, req, id, `/knowledge/${tree.slug}`)
}

export const liftTree = (deps: Deps) => (req: Request) => {
  const tree = treeOf(deps.library.current().knowledge, String(req.params.tree))
  const form = readForm(z.object({ id: formId }), req)
  if (!form.ok) throw new AppError('invalid', Object.values(form.errors)[0] ?? 'That could not be read.')
  deps.storage.publications.liftWithdrawal(tree.slug, person(req).id)
  return redirectAfterWrite(deps, req, form.data.id, `/knowledge/${tree.slug}`)
}

function indexLocals(deps: Deps, req: Request) {
  const publications = deps.storage.publications.list()
  const earlier = editionBefore(publications)
  return {
    title: 'Editions',
    desk: true,
    back: { href: '/knowledge', text: 'Fault trees' },
    publications: publicationsTable(publications, deps.times),
    edition: deps.library.current(),
    editionName: shortId(deps.library.current().id),
    before: earlier,
    beforeName: earlier && shortId(earlier),
    withdraws: may(person(req).role, 'publish knowledge'),
  }
}
