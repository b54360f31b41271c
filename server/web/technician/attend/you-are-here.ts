import { drawHere } from '../../../charts/tree-here.ts'
import { titleOf } from '../../../knowledge/examples.ts'
import type { Knowledge } from '../../../knowledge/types.ts'
import { placeName, type Step, type Walk } from '../../../walk/place.ts'

/**
 * Where a walk stands, drawn small: the last checks, this one, and what its rows lead to. `id` must be the only one of
 * its kind on the page. Null once the walk stands at no check.
 */
export function youAreHere(knowledge: Knowledge, walk: Walk, id = 'here'): string | null {
  const { place, path } = walk
  if (place.kind !== 'check') return null
  const ways = place.check.rows.map(row => ({ label: row.label, words: titleOf(knowledge, row.next) }))
  return drawHere(id, path.map(step), place.check.title, ways)
}

function step(one: Step): { title: string; found: string } {
  switch (one.kind) {
    case 'check':
      return { title: one.check.title, found: foundAt(one) }
    case 'departure':
      return { title: 'Another check chosen', found: `for ${placeName(one.next)}` }
    case 'rejection':
      return { title: 'Ruled out', found: one.cause.slice(one.cause.indexOf('/') + 1).replaceAll('-', ' ') }
  }
}

function foundAt({ finding, row }: Extract<Step, { kind: 'check' }>): string {
  const step =
    finding.kind === 'reading' ? finding.text : finding.kind === 'observation' ? finding.word : 'cannot tell'
  return row && row.label !== step ? `${step}: ${row.label}` : step
}
