import { z } from 'zod'
import { may } from '../../../auth/roles.ts'
import { AppError } from '../../../errors.ts'
import { compile } from '../../../knowledge/compile.ts'
import type { Decision, Draft, Proposal } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, page, redirectAfterWrite } from '../../host/answer.ts'
import { formId, oneOf, optionalWords, readForm, words } from '../../host/read-form.ts'
import { person, type Request } from '../../host/request.ts'
import type { Mark } from '../../partials.ts'
import { changesBetween, noChanges } from '../editions/changes.ts'
import { shownChanges } from '../editions/shown-changes.ts'
import { overlaid } from './workbench.ts'

const proposed = z.object({
  id: formId,
  note: words('Say in a sentence what changes and why: it stands in the list of editions.', 600),
  drafts: z
    .union([z.string(), z.array(z.string())], { error: 'Choose at least one draft.' })
    .transform(value => [value].flat()),
})

const decided = z
  .object({
    id: formId,
    verdict: oneOf(['approved', 'sent back', 'taken back'], 'Say what becomes of it.'),
    words: optionalWords(),
  })
  .refine(data => data.verdict === 'approved' || data.words, {
    error: 'Say why, so that it can be mended.',
    path: ['words'],
  })

const published = z.object({ id: formId })

export const add = (deps: Deps) => (req: Request) => {
  return page('author/drafts/proposal-new', { ...newLocals(deps), values: { drafts: req.query.drafts } })
}

/** Puts drafts forward together, as they stand now. */
export const create = (deps: Deps) => (req: Request) => {
  const form = readForm(proposed, req)
  if (!form.ok) return formAgain('author/drafts/proposal-new', { ...newLocals(deps), ...form })
  const { id, note, drafts: ids } = form.data
  const drafts = ids.map(draft => deps.storage.drafts.get(draft))
  const trouble = troubleWith(deps, drafts)
  if (trouble) {
    const again = { values: req.body, errors: { drafts: trouble } }
    return formAgain('author/drafts/proposal-new', { ...newLocals(deps), ...again })
  }
  deps.storage.proposals.create({
    id,
    note,
    by: person(req).id,
    baseEditionId: deps.library.current().id,
    files: drafts.map(draft => ({ path: draft.path, draftId: draft.id, text: draft.head.text })),
    writers: drafts.flatMap(draft => deps.storage.drafts.writers(draft.id)),
  })
  return redirectAfterWrite(deps, req, id, `/proposals/${id}`)
}

/** What would change, check by check, and what those who read it have said. */
export const show = (deps: Deps) => (req: Request) => {
  const proposal = deps.storage.proposals.get(String(req.params.proposal))
  return page('author/drafts/proposal', proposalLocals(deps, req, proposal))
}

export const decide = (deps: Deps) => (req: Request) => {
  const proposal = deps.storage.proposals.get(String(req.params.proposal))
  const form = readForm(decided, req)
  if (!form.ok)
    return formAgain('author/drafts/proposal', { ...proposalLocals(deps, req, proposal), ...form })
  const { id, verdict, words: said } = form.data
  deps.storage.proposals.decide({
    id,
    proposalId: proposal.id,
    by: person(req).id,
    verdict,
    words: said ?? '',
  })
  return redirectAfterWrite(deps, req, id, `/proposals/${proposal.id}`)
}

/** Puts an approved proposal to use. */
export const publish = (deps: Deps) => (req: Request) => {
  const form = readForm(published, req)
  if (!form.ok) throw new AppError('invalid', Object.values(form.errors)[0] ?? 'That could not be read.')
  const proposal = deps.storage.proposals.get(String(req.params.proposal))
  if (proposal.state !== 'published') putToUse(deps, proposal, form.data.id, person(req).id)
  settleDrafts(deps, proposal)
  return redirectAfterWrite(deps, req, form.data.id, '/editions')
}

function putToUse(deps: Deps, proposal: Proposal, id: string, by: string): void {
  if (proposal.state !== 'approved')
    throw new AppError('conflict', 'Only what another person has approved can be published.')
  const over = deps.library.current().id
  const moved = movedFiles(deps, proposal)
  if (moved.length > 0)
    throw new AppError(
      'conflict',
      `${moved.join(', ')} changed in use since this was proposed. Propose it anew.`,
    )
  const files = overlaid(deps.library.files(over), proposal.files)
  deps.library.publish(files, over, { id, by, note: proposal.note, proposalId: proposal.id })
}

/** The drafts end, unless somebody has gone on writing in them: those are then written over what is in use now. */
function settleDrafts(deps: Deps, proposal: Proposal): void {
  for (const { path, draftId, text } of proposal.files) {
    const draft = deps.storage.drafts.findByPath(path)
    if (draft?.id !== draftId || inUse(deps, path) !== text) continue
    if (draft.head.text === text && draft.asides.length === 0) deps.storage.drafts.end(draftId, 'published')
    else deps.storage.drafts.rebase(draftId, deps.library.current().id)
  }
}

function newLocals(deps: Deps) {
  const drafts = deps.storage.drafts.list()
  return {
    title: 'Propose drafts',
    desk: true,
    back: { href: '/knowledge', text: 'Fault trees' },
    drafts: drafts.map(draft => draftChoice(draft, troubleWith(deps, [draft]))),
  }
}

/** Why these drafts can't be proposed together; null when they can. */
function troubleWith(deps: Deps, drafts: Draft[]): string | null {
  if (drafts.length === 0) return 'Choose at least one draft.'
  const aside = drafts.find(draft => draft.asides.length > 0)
  if (aside) return `${aside.path} has two texts. Settle which one is to stand.`
  const moved = drafts.find(
    draft => textIn(deps, draft.baseEditionId, draft.path) !== inUse(deps, draft.path),
  )
  if (moved) return `${moved.path} changed in use since its draft was begun. Take that in first.`
  const files = overlaid(
    deps.library.files(deps.library.current().id),
    drafts.map(({ path, head }) => ({ path, text: head.text })),
  )
  const errors = compile(files).problems.filter(problem => problem.severity === 'error')
  const [first] = errors
  if (first)
    return `${errors.length} errors, the first in ${first.source.path}, line ${first.source.line}: ${first.found}`
  const same = drafts.every(draft => draft.head.text === inUse(deps, draft.path))
  return same ? 'Nothing is changed yet.' : null
}

/** What the visitor may do with a proposal, and who stands in the way of approving it. */
function partIn({ storage: { people } }: Deps, req: Request, proposal: Proposal) {
  const who = person(req)
  const isWriter = proposal.writers.some(writer => writer.id === who.id)
  const restsOn = isWriter ? [] : people.letInBy(who.id, proposal.writers)
  const reads = !isWriter && may(who.role, 'review knowledge')
  const writerIds = proposal.writers.map(({ id }) => id)
  const instead = proposal.state === 'waiting' && reads ? people.engineersInstead(who.id, writerIds) : []
  const mayApprove = proposal.state === 'waiting' && reads && restsOn.length + instead.length === 0
  const open = proposal.state === 'waiting' || proposal.state === 'approved'
  return {
    open,
    isWriter,
    restsOn: proposal.state === 'waiting' ? restsOn.map(writer => writer.name).join(' and ') : '',
    instead: instead.map(({ name }) => name).join(' or '),
    mayApprove,
    maySendBack: open && reads,
    mayTakeBack: open && isWriter,
    mayPublish: proposal.state === 'approved' && may(who.role, 'publish knowledge'),
  }
}

function proposalLocals(deps: Deps, req: Request, proposal: Proposal) {
  const current = deps.library.current()
  const base =
    proposal.state === 'published'
      ? deps.library.files(proposal.baseEditionId)
      : deps.library.files(current.id)
  const after = compile(overlaid(base, proposal.files), { lenient: true })
  const baseKnowledge = compile(base, { lenient: true }).knowledge
  const part = partIn(deps, req, proposal)
  return {
    title: 'A proposal',
    desk: true,
    back: { href: '/knowledge', text: 'Fault trees' },
    proposal,
    ...part,
    decisions: proposal.decisions.map(one => ({ ...one, letIn: letInByReader(deps, one, proposal) })),
    writers: proposal.writers.map(writer => writer.name).join(', '),
    stateMark: stateMarks[proposal.state],
    moved: part.open ? movedFiles(deps, proposal).join(', ') : '',
    problems: after.problems.filter(problem =>
      proposal.files.some(file => file.path === problem.source.path),
    ),
    wordsHint: part.mayApprove ? 'Wanted when it is sent back.' : '',
    changes: shownChanges(
      baseKnowledge && after.knowledge ? changesBetween(deps, baseKnowledge, after.knowledge) : noChanges,
    ),
  }
}

/** The names of the writers who are in on the word of whoever approved: allowed, and said. */
function letInByReader(deps: Deps, { verdict, by }: Decision, { writers }: Proposal): string {
  if (verdict !== 'approved') return ''
  const reader = [{ id: by }]
  const letIn = writers.filter(writer => deps.storage.people.letInBy(writer.id, reader).length > 0)
  return letIn.map(writer => writer.name).join(' and ')
}

function movedFiles(deps: Deps, proposal: Proposal): string[] {
  return proposal.files
    .map(file => file.path)
    .filter(path => textIn(deps, proposal.baseEditionId, path) !== inUse(deps, path))
}

function inUse(deps: Deps, path: string): string | null {
  return textIn(deps, deps.library.current().id, path)
}

function textIn(deps: Deps, editionId: string, path: string): string | null {
  return deps.library.files(editionId).find(file => file.path === path)?.text ?? null
}

/** How a proposal stands, in a word. */
const stateMarks: Record<Proposal['state'], Mark> = {
  waiting: { kind: 'waiting', word: 'to be read by another person' },
  approved: { kind: 'done', word: 'approved' },
  'sent back': { kind: 'struck', word: 'sent back' },
  'taken back': { kind: 'struck', word: 'taken back' },
  published: { kind: 'done', word: 'published' },
}

/** A draft to be chosen for a proposal; `trouble`: why it can't be proposed, null when it can. */
function draftChoice({ id, path }: Draft, trouble: string | null) {
  return { value: id, label: path, hint: trouble || 'ready', mark: trouble ? 'caution' : 'done' }
}
