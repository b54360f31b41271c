import type { Request, Response } from 'express'
import { AppError } from '../../errors.ts'
import { renderMarkdown } from '../../knowledge/render.ts'
import type { Deps } from '../deps.ts'
import { renderPage } from '../page.ts'
import { shownCaution } from '../shown-caution.ts'

/** The edition in use, its trees, and what is wrong with the folder as it stands. */
export const index = (deps: Deps) => (_req: Request, res: Response) => {
  const edition = deps.library.current()
  renderPage(res, 'author/knowledge', {
    title: 'Fault trees',
    desk: true,
    edition,
    trees: [...edition.knowledge.trees.values()],
    equipment: [...edition.knowledge.equipment.values()],
    problems: deps.library.problems(),
    editions: deps.storage.editions.list(),
  })
}

/** One tree as a table, for those who don't read files. */
export const show = (deps: Deps) => (req: Request, res: Response) => {
  const { knowledge } = deps.library.current()
  const tree = knowledge.trees.get(String(req.params.tree))
  if (!tree) throw new AppError('not found', 'There is no such tree in the edition in use.')
  renderPage(res, 'author/tree', {
    title: tree.title,
    desk: true,
    tree,
    about: renderMarkdown(tree.about),
    equipment: knowledge.equipment.get(tree.equipment),
    markdown: renderMarkdown,
    shownCaution,
    checks: [...tree.checks.values()],
    ends: [...tree.ends.values()],
    titleOf: titles(deps),
  })
}

/** Words for where a row leads. */
function titles(deps: Deps) {
  const { knowledge } = deps.library.current()
  return (target: import('../../knowledge/types.ts').Target): string => {
    switch (target.kind) {
      case 'check':
        return knowledge.trees.get(target.tree)?.checks.get(target.check)?.title ?? target.check
      case 'end':
        return knowledge.trees.get(target.tree)?.ends.get(target.end)?.title ?? target.end
      case 'cause':
        return `Cause: ${knowledge.equipment.get(target.equipment)?.causes.get(target.cause)?.title ?? target.cause}`
    }
  }
}
