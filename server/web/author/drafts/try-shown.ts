import { renderMarkdown } from '../../../knowledge/render.ts'
import type { Position } from '../../../storage/storage.ts'
import type { Walk } from '../../../walk/place.ts'
import { columns, row, type Table } from '../../partials.ts'
import { shownCaution } from '../../shown-caution.ts'

/** Where a trial may be walked as if standing. */
export function positionChoices(positions: Pick<Position, 'id' | 'siteName' | 'name'>[]) {
  return [
    { value: '', label: 'no position' },
    ...positions.map(({ id, siteName, name }) => ({ value: id, label: `${siteName}, ${name}` })),
  ]
}

/** The rows of the check in hand, each leading on. */
export function findingsTable(rows: { label: string; means: string; href: string }[]): Table {
  return {
    caption: 'Or choose what is found',
    columns: columns('Finding', 'Means'),
    rows: rows.map(({ label, means, href }) => row({ text: label, href }, means)),
  }
}

/** The checks so far, as entries of a timeline. */
export function wayEntries({ path }: Walk) {
  return path.flatMap(step => {
    if (step.kind !== 'check') return []
    return {
      kind: step.row ? 'done' : 'no-verdict',
      word: step.row?.label ?? 'no row',
      text: step.check.title,
      detail: step.finding.kind === 'reading' ? step.finding.text : '',
      why: step.because,
    }
  })
}

/** What a trial has come to, at a cause or an end; in words where it does not go on. Null at a check. */
export function arrivedAt({ place }: Walk) {
  switch (place.kind) {
    case 'check':
      return null
    case 'cause': {
      const { title, cautions, remedy } = place.cause
      return {
        title: `Cause: ${title}`,
        cautions: cautions.map(shownCaution),
        html: renderMarkdown(remedy),
      }
    }
    case 'end':
      return { title: place.end.title, cautions: [], html: renderMarkdown(place.end.about) }
    case 'choose':
      return { ...stuck, words: 'The walk does not go on from here.' }
    case 'lost':
      return { ...stuck, words: place.message }
  }
}

const stuck = { title: 'Stuck', cautions: [], html: null }
