import { renderMarkdown } from '../../../knowledge/render.ts'
import type { Equipment } from '../../../knowledge/types.ts'
import type { Deps } from '../../deps.ts'
import { page } from '../../host/answer.ts'
import { columns, row, type Table } from '../../partials.ts'

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

/** The limits of one kind of equipment, each with where it comes from. */
function limitsTable({ name, limits }: Equipment): Table {
  return {
    caption: name,
    columns: columns('Limit', 'Value', 'Unit', 'Source'),
    rows: limits.map(limit =>
      row(
        limit.name,
        limit.expectation ? limit.text : { mark: { kind: 'no-verdict', word: 'blank' } },
        limit.unit,
        { text: limit.from, note: limit.demo ? 'demo value' : null },
      ),
    ),
    empty: 'No limits.',
  }
}
