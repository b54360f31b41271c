import type { Publication } from '../../../storage/knowledge/publications.ts'
import type { Times } from '../../../times.ts'
import { columns, row, type Table } from '../../partials.ts'

const hows: Record<Publication['how'], string> = {
  folder: 'from the folder',
  proposal: 'published',
  withdrawal: 'gone back to',
}

/** What was in use since when, newest first. */
export function publicationsTable(publications: Publication[], times: Times): Table {
  return {
    caption: 'Newest first',
    columns: columns('In use since', 'Edition', 'How', 'Note', 'See'),
    rows: publications.map((one, n) => {
      const earlier = publications[n + 1]
      return {
        ...row(
          { text: times.moment(one.at), note: n === 0 ? 'in use now' : '' },
          { text: shortId(one.editionId), href: `/editions/${one.editionId}/bundle` },
          { text: hows[one.how], note: one.byName || '' },
          one.proposalId ? { text: one.note, href: `/proposals/${one.proposalId}` } : one.note,
          earlier
            ? { text: 'What changed', href: `/editions/${one.editionId}/changes?since=${earlier.editionId}` }
            : 'the first',
        ),
        current: n === 0,
      }
    }),
  }
}

/** The editions another may be compared with. One that was in use twice is named by when it first was. */
export function editionChoices(publications: Publication[], but: string, times: Times) {
  const once = new Map(publications.map(one => [one.editionId, one]))
  return [...once.values()]
    .filter(one => one.editionId !== but)
    .map(one => ({ value: one.editionId, label: `${shortId(one.editionId)}, ${times.moment(one.at)}` }))
}

export function shortId(editionId: string): string {
  return editionId.slice(0, 8)
}
