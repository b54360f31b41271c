import type { Problem } from '../problem.ts'
import type { Section } from '../read/document.ts'
import type { Draft, EquipmentDraft } from '../read/draft.ts'
import { problemAt, quoted } from './problem-at.ts'

/** Two rows of an equipment table with one name: terminal `S1` twice. Of units, kind and variant together. */
export function nameDuplicate(draft: Draft): Problem[] {
  if (draft.kind !== 'equipment') return []
  const { terminals, access, facts, limits, units } = draft
  return [
    ...[terminals, access, facts, limits].flatMap(section => twice(draft, section, 1)),
    ...twice(draft, units, 2),
  ]
}

function twice({ doc }: EquipmentDraft, section: Section | null, columns: number): Problem[] {
  const first = new Map<string, number>()
  return (section?.tables[0]?.rows ?? []).flatMap(row => {
    const name = row.cells.slice(0, columns).join(', ')
    const key = name.toLowerCase()
    const earlier = first.get(key)
    if (earlier === undefined) {
      first.set(key, row.line)
      return []
    }
    return problemAt(doc, row.line, {
      code: 'name-duplicate',
      found: `${quoted(name)} stands in the table twice.`,
      expected: 'Each row of the table has a name of its own.',
      mend: 'Delete one of the two rows, or rename it.',
      related: [{ source: { path: doc.path, line: earlier }, note: 'first written here' }],
    })
  })
}
