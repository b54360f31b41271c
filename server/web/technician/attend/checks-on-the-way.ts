import type { PlaceRow } from '../../../walk/place-list.ts'
import type { Mark, TimelineEntry } from '../../partials.ts'
import { foundWords } from '../check/found-words.ts'

const marks: Partial<Record<PlaceRow['kind'], Mark>> = {
  done: { kind: 'done', word: 'Done' },
  current: { kind: 'current', word: 'Here' },
  skipped: { kind: 'skipped', word: 'Skipped' },
}

/** Every check of the tree as the place-list partial takes it; `base`: address of the fault. */
export function checksOnTheWay(places: PlaceRow[], base: string) {
  return {
    walked: places.flatMap(row => walkedEntry(row, base)),
    open: titlesOf(places, 'open'),
    out: titlesOf(places, 'not applicable'),
  }
}

function walkedEntry(row: PlaceRow, base: string): TimelineEntry[] {
  const mark = marks[row.kind]
  if (!mark) return []
  const href = row.check && `${base}/checks/${row.check.tree}/${row.check.slug}`
  const detail = row.finding && foundWords(row.finding)
  return [{ ...mark, text: row.title, href, detail, why: row.because }]
}

function titlesOf(places: PlaceRow[], kind: PlaceRow['kind']): string[] {
  return places.filter(row => row.kind === kind).map(row => row.title)
}
