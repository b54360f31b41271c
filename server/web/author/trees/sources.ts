import { existsSync, readFileSync } from 'node:fs'
import path from 'node:path'
import type { Request, Response } from 'express'
import { renderMarkdown } from '../../../knowledge/render.ts'
import type { Deps } from '../../deps.ts'
import { renderPage } from '../../host/page.ts'
import { limitsTable } from './limits-table.ts'

/** What the knowledge rests on: the folder's own list, and each limit in use with where it comes from. */
export const show = (deps: Deps) => (_req: Request, res: Response) => {
  const equipment = [...deps.library.current().knowledge.equipment.values()]
  renderPage(res, 'author/trees/sources', {
    title: 'Sources',
    desk: true,
    list: renderMarkdown(listOf(deps.config.knowledgeDir)),
    limits: equipment.map(limitsTable),
  })
}

/** `sources.md` of the knowledge folder; empty words when the owner has written none. */
function listOf(folder: string): string {
  const file = path.join(folder, 'sources.md')
  return existsSync(file)
    ? readFileSync(file, 'utf8')
    : '# Sources\n\nThe knowledge folder has no list of sources.'
}
