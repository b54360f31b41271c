import { may } from '../../../auth/roles.ts'
import { AppError } from '../../../errors.ts'
import type { FaultTree, Knowledge } from '../../../knowledge/types.ts'
import { walk } from '../../../walk/place.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import { person, type Request } from '../../host/request.ts'
import { shortId } from '../editions/editions-tables.ts'
import {
  differencesTable,
  draftsTable,
  equipmentTable,
  problemsTable,
  proposalsTable,
  treesTable,
} from './knowledge-tables.ts'
import { drawingPage, tablePage } from './tree-page.ts'

/** The trees with their state, what is being written, and what keeps the folder from being taken in. */
export const index = (deps: Deps) => (req: Request) => {
  const edition = deps.library.current()
  const { role } = person(req)
  const reads = may(role, 'review knowledge')
  const writes = may(role, 'write knowledge')
  const drafts = reads ? deps.storage.drafts.list() : []
  return page('author/trees/knowledge', {
    title: 'Fault trees',
    desk: true,
    edition,
    editionName: shortId(edition.id),
    reads,
    writes,
    trees: treesTable(
      [...edition.knowledge.trees.values()].map(tree => ({ tree, ...stateOf(deps, tree) })),
      reads,
      deps.times,
    ),
    equipment: equipmentTable([...edition.knowledge.equipment.values()], drafts, writes),
    drafts: draftsTable(drafts, deps.times),
    proposals: proposalsTable(
      reads
        ? deps.storage.proposals.list().filter(one => one.state === 'waiting' || one.state === 'approved')
        : [],
      deps.times,
    ),
    unanswered: reads ? deps.storage.reports.list().filter(report => report.answers.length === 0).length : 0,
    differences: differencesTable(reads ? deps.library.folder().differences : [], writes),
    problems: problemsTable(deps.library.problems()),
  })
}

export const show = (deps: Deps) => (req: Request) => {
  const { knowledge } = deps.library.current()
  const tree = treeInUse(deps, req)
  const withdrawn = deps.storage.publications.withdrawnTrees().find(one => one.tree === tree.slug) ?? null
  return tablePage(knowledge, tree, {
    base: `/knowledge/${tree.slug}`,
    of: 'in use',
    withdrawn,
    path: `trees/${tree.slug}.md`,
    reads: may(person(req).role, 'review knowledge'),
    writes: may(person(req).role, 'write knowledge'),
    withdraws: may(person(req).role, 'publish knowledge'),
  })
}

/** The tree drawn; with `fault`, on the edition of that fault and with its way. */
export const drawing = (deps: Deps) => (req: Request) => {
  const slug = String(req.params.tree)
  const setting = (back: { href: string; text: string }) => ({
    base: `/knowledge/${slug}`,
    of: 'in use',
    back,
  })
  const { zoom } = req.query
  if (typeof req.query.fault !== 'string') {
    const { knowledge } = deps.library.current()
    const back = { href: `/knowledge/${slug}`, text: 'The tree as a table' }
    return drawingPage(knowledge, treeInUse(deps, req), setting(back), {
      zoom,
      walk: null,
      fault: null,
    })
  }
  const { fault, findings } = deps.storage.faults.get(req.query.fault)
  const knowledge = deps.library.edition(fault.editionId)?.knowledge
  const tree = knowledge?.trees.get(slug)
  if (!knowledge || !tree) throw new AppError('not found', 'The edition of this fault has no such tree.')
  const walked = walk(knowledge, fault.tree, findings)
  const back = { href: `/faults/${fault.id}`, text: 'The fault' }
  return drawingPage(knowledge, tree, setting(back), { zoom, walk: walked, fault: fault.id })
}

export function treeInUse(deps: Deps, req: Request): FaultTree {
  return treeOf(deps.library.current().knowledge, String(req.params.tree))
}

export function treeOf(knowledge: Knowledge, slug: string): FaultTree {
  const tree = knowledge.trees.get(slug)
  if (!tree) throw new AppError('not found', 'There is no such tree in the edition in use.')
  return tree
}

/** What there is to say about a tree in a word, the gravest first. */
function stateOf(deps: Deps, tree: FaultTree) {
  const draft = deps.storage.drafts.findByPath(tree.source.path)
  const withdrawn = deps.storage.publications.withdrawnTrees().some(one => one.tree === tree.slug)
  const today = deps.clock().toISOString().slice(0, 10)
  const due = tree.reviewBy !== null && tree.reviewBy < today
  const state = withdrawn
    ? { kind: 'struck', word: 'withdrawn' }
    : due
      ? { kind: 'waiting', word: 'review overdue' }
      : { kind: 'done', word: 'in use' }
  return { state, draft }
}
