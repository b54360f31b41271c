import { renderMarkdown } from '../../../knowledge/render.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import { limitsTable } from './limits-table.ts'

/** What the knowledge rests on: the folder's own list, and each limit in use with where it comes from. */
export const show = (deps: Deps) => () => {
  const equipment = [...deps.library.current().knowledge.equipment.values()]
  return page('author/trees/sources', {
    title: 'Sources',
    desk: true,
    list: renderMarkdown(deps.host.listOfSources() ?? noList),
    limits: equipment.map(limitsTable),
  })
}

const noList = '# Sources\n\nThe knowledge folder has no list of sources.'
